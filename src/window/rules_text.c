#include "window/rules_text.h"

#include "base/numbers.h"
#include "base/text.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

enum { FIGURE_SIZE = 40, VALUE_LINE_SIZE = 200 };

static bool refuse(struct rule_text_fault *fault, const struct rule_row *row, const char *format,
                   ...) __attribute__((format(printf, 3, 4)));

/* Fills found; expected follows from the row. */
static bool refuse(struct rule_text_fault *fault, const struct rule_row *row, const char *format,
                   ...)
{
    if (fault == NULL)
        return false;
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(fault->found, sizeof fault->found, format, arguments);
    va_end(arguments);
    bool range = row->sense == RULE_BETWEEN;
    snprintf(fault->expected, sizeof fault->expected, "%s%.10g to %.10g %s%s",
             range ? "two figures from " : "from ", row->least, row->most, row->unit,
             row->id == RULE_WINDOW || row->id == RULE_SLOT ? "" : ", or off");
    snprintf(fault->hint, sizeof fault->hint, "write for instance '%s = %s %s'", row->key,
             range                  ? "1 to 5"
             : row->id == RULE_SLOT ? "30"
                                    : "1",
             row->unit);
    return false;
}

/* Figures are decimal numbers of few digits: 10 significant ones, no trailing noughts. */
static const char *figure_text(double figure, char *out, size_t size)
{
    snprintf(out, size, "%.10g", figure + 0.0); /* + 0.0: no minus before a nought */
    return out;
}

const char *rule_value_text(enum rule_id id, const struct rule_value *value, char *out, size_t size)
{
    const struct rule_row *row = rule_row(id);
    char low[FIGURE_SIZE], high[FIGURE_SIZE];
    figure_text(value->low / row->unit_si, low, sizeof low);
    figure_text(value->high / row->unit_si, high, sizeof high);
    if (!value->on)
        snprintf(out, size, "off");
    else if (row->sense == RULE_BETWEEN)
        snprintf(out, size, "%s to %s %s", low, high, row->unit);
    else
        snprintf(out, size, "%s %s", row->sense == RULE_AT_LEAST ? low : high, row->unit);
    return out;
}

const char *rule_statistic_text(enum rule_id id, double statistic, char *out, size_t size)
{
    const struct rule_row *row = rule_row(id);
    if (isfinite(statistic))
        snprintf(out, size, "%.*f %s", row->decimals + 1, statistic / row->unit_si + 0.0,
                 row->unit);
    else
        snprintf(out, size, "%s", isnan(statistic) ? "not measured" : "no mean to compare with");
    return out;
}

const char *rule_line(enum rule_id id, const struct rule_value *value, char *out, size_t size)
{
    char printed[RULE_TEXT_SIZE];
    snprintf(out, size, "%s = %s", rule_row(id)->key,
             rule_value_text(id, value, printed, sizeof printed));
    return out;
}

/* The unit at the end of `text` -> its SI scale; an empty one is refused. */
static bool parse_unit(const struct rule_row *row, const char *spelling, const char *whole,
                       double *scale, struct rule_text_fault *fault)
{
    if (spelling[0] == '\0')
        return refuse(fault, row, "'%s' has no unit", whole);
    const struct unit *unit = unit_find(spelling, row->dimension);
    if (unit == NULL) {
        enum dimension other = unit_dimension_of(spelling);
        if (other != DIM_COUNT)
            return refuse(fault, row, "'%s' is a unit of %s, not of %s", spelling,
                          dimension_name(other), dimension_name(row->dimension));
        return refuse(fault, row, "'%s' is not a unit of %s", spelling,
                      dimension_name(row->dimension));
    }
    *scale = unit_difference(unit, 1.0);
    return true;
}

/* Number at the start of `text`; *rest is what follows it, blanks skipped. */
static bool parse_number(const struct rule_row *row, const char *text, const char *whole,
                         double *number, const char **rest, struct rule_text_fault *fault)
{
    size_t n = strspn(text, "+-0123456789.eE");
    if (!number_read(text, n, '.', number))
        return refuse(fault, row, "'%s' does not start with a number", whole);
    *rest = text + n + strspn(text + n, " \t");
    return true;
}

static bool in_range(const struct rule_row *row, double figure_si)
{
    double allowance = 1e-9 * fabs(figure_si);
    return figure_si >= row->least * row->unit_si - allowance &&
           figure_si <= row->most * row->unit_si + allowance;
}

static bool parse_range(const struct rule_row *row, const char *text, struct rule_value *value,
                        struct rule_text_fault *fault)
{
    double low, high, scale;
    const char *rest = text;
    if (!parse_number(row, text, text, &low, &rest, fault))
        return false;
    if (!text_starts(rest, "to ") && !text_starts(rest, "to\t"))
        return refuse(fault, row, "'%s' is not a range", text);
    rest += 3 + strspn(rest + 3, " \t");
    if (!parse_number(row, rest, text, &high, &rest, fault) ||
        !parse_unit(row, rest, text, &scale, fault))
        return false;
    if (!(low < high))
        return refuse(fault, row, "'%s' does not rise", text);
    if (!in_range(row, low * scale) || !in_range(row, high * scale))
        return refuse(fault, row, "'%s' is out of range", text);
    *value = (struct rule_value){true, low * scale, high * scale};
    return true;
}

static bool parse_single(const struct rule_row *row, const char *text, struct rule_value *value,
                         struct rule_text_fault *fault)
{
    double number, scale;
    const char *rest = text;
    if (!parse_number(row, text, text, &number, &rest, fault) ||
        !parse_unit(row, rest, text, &scale, fault))
        return false;
    if (!in_range(row, number * scale))
        return refuse(fault, row, "'%s' is out of range", text);
    bool least = row->sense == RULE_AT_LEAST;
    *value = (struct rule_value){true, least ? number * scale : -INFINITY,
                                 least ? INFINITY : number * scale};
    return true;
}

bool rule_value_parse(const struct rule_row *row, const char *text, struct rule_value *value,
                      struct rule_text_fault *fault)
{
    char line[VALUE_LINE_SIZE];
    if (strlen(text) >= sizeof line)
        return refuse(fault, row, "the figure is longer than %zu bytes", sizeof line - 1);
    snprintf(line, sizeof line, "%s", text);
    const char *trimmed = text_trim(line);
    if (text_same_nocase(trimmed, "off")) {
        if (row->id == RULE_WINDOW || row->id == RULE_SLOT)
            return refuse(fault, row, "'%s' cannot be off", row->key);
        *value = (struct rule_value){false, -INFINITY, INFINITY};
        return true;
    }
    if (row->sense == RULE_BETWEEN)
        return parse_range(row, trimmed, value, fault);
    return parse_single(row, trimmed, value, fault);
}

/* `figure` (printed unit) rounded to the row's decimals, away from the window's side, plus `more`
 * last places. The small allowance keeps 0.5 from becoming 0.6 by the last bit. */
static double rounded_out(const struct rule_row *row, double figure, bool up, int more)
{
    double places = pow(10.0, row->decimals);
    double steps = up ? ceil(figure * places - 1e-6) : floor(figure * places + 1e-6);
    return (steps + (up ? more : -more)) / places;
}

static struct rule_value move_end(const struct rule_row *row, const struct rule_value *value,
                                  double statistic, int more)
{
    struct rule_value moved = *value;
    bool up = row->sense == RULE_AT_MOST || (row->sense == RULE_BETWEEN && statistic > value->high);
    double figure = rounded_out(row, statistic / row->unit_si, up, more) * row->unit_si;
    if (up)
        moved.high = figure;
    else
        moved.low = figure;
    return moved;
}

/* What the value will be once its printed line has been read back. */
static bool read_back(const struct rule_row *row, const struct rule_value *value,
                      struct rule_value *again)
{
    char printed[RULE_TEXT_SIZE];
    return rule_value_parse(row, rule_value_text(row->id, value, printed, sizeof printed), again,
                            NULL);
}

/* Sunshine in which no collector can be measured: who proposes it has read another unit. Our own
 * figure. */
#define PROPOSED_SUN_LEAST_W_M2 50.0

static bool is_absurd(enum rule_id id, const struct rule_value *value)
{
    return id == RULE_IRRADIANCE_LEAST && value->low < PROPOSED_SUN_LEAST_W_M2;
}

bool rule_loosen(enum rule_id id, const struct rule_value *value, double statistic,
                 struct rule_value *loosened)
{
    const struct rule_row *row = rule_row(id);
    if (!isfinite(statistic) || row->statistic == RULE_LENGTH)
        return false;
    for (int more = 0; more < 3; more++) {
        struct rule_value moved = move_end(row, value, statistic, more);
        struct rule_value again;
        if (read_back(row, &moved, &again) && rule_meets(id, &again, statistic) &&
            !is_absurd(id, &again)) {
            *loosened = again;
            return true;
        }
    }
    return false;
}
