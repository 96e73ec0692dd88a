#include "window/rules_text.h"

#include "base/numbers.h"
#include "window/criteria.h"
#include "window/rules_table.h"

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

static bool refuse_key(const char *key, struct place at, struct faults *faults)
{
    /* The section's own two keys, the limits, and what is asked of the whole test. The list leaves
     * out the two: they are no figures, and a fault's text is short. */
    enum { OWN = 2, NAMES = OWN + RULE_COUNT + CRITERION_COUNT };
    const char *names[NAMES] = {"rules", "rules checked against"};
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    struct text list = {0};
    for (int i = 0; i < NAMES; i++) {
        int criterion = i - OWN - RULE_COUNT;
        if (i < OWN)
            continue;
        names[i] = criterion < 0 ? rule_rows[i - OWN].key
                                 : criterion_row((enum criterion_id)criterion)->key;
        text_addf(&list, "%s%s", i == OWN ? "" : ", ", names[i]);
    }
    fault_found(fault, "'%s' is not a key of the rules", key);
    fault_expected(fault, "one of: %s", text_string(&list));
    text_free(&list);
    const char *near = text_nearest(key, names, NAMES);
    if (near != NULL)
        fault_hint(fault, "did you mean '%s'?", near);
    return false;
}

bool rules_override(struct rules *rules, const char *key, const char *value, struct place at,
                    struct faults *faults)
{
    const struct rule_row *row = rule_find(key);
    if (row == NULL)
        return refuse_key(key, at, faults);
    struct rule_text_fault wrong = {0};
    if (!rule_value_parse(row, value, &rules->rule[row->id].value, &wrong)) {
        struct fault *fault = fault_new(faults, FAULT_INPUT, at);
        fault_found(fault, "%s: %s", row->key, wrong.found);
        fault_expected(fault, "%s", wrong.expected);
        fault_hint(fault, "%s", wrong.hint);
        return false;
    }
    rules->rule[row->id].overridden = true;
    return true;
}

static const char *sense_text(const struct rule_row *row, const struct rule_value *value)
{
    if (!value->on || row->statistic == RULE_LENGTH || row->sense == RULE_BETWEEN)
        return "";
    if (row->sense == RULE_AT_LEAST)
        return "at least ";
    return row->statistic == RULE_DEVIATION || row->statistic == RULE_DEVIATION_RELATIVE
               ? "+- "
               : "at most ";
}

static void table_line(const struct rules *rules, enum rule_id id, struct text *out)
{
    const struct rule *rule = &rules->rule[id];
    char value[RULE_TEXT_SIZE], of_set[RULE_TEXT_SIZE], figure[RULE_TEXT_SIZE + 16];
    rule_value_text(id, &rule->value, value, sizeof value);
    rule_value_text(id, &rule->of_set, of_set, sizeof of_set);
    snprintf(figure, sizeof figure, "%s%s", sense_text(rule_row(id), &rule->value), value);
    text_addf(out, "  %-22s %-18s %s\n", rule_row(id)->key, figure, rule_row(id)->label);
    if (rule->overridden)
        text_addf(out, "  %-22s overridden by the description; the set says %s\n", "", of_set);
    text_addf(out, "  %-22s %s: %s\n", "", rule_known(rules, rule->mark, false),
              rule_source(rules, rule->mark, rule->source));
}

void rules_table(const struct rules *rules, struct text *out)
{
    text_addf(out, "Rules: %s%s\n", rules->set,
              rules->standard ? ""
                              : " (figures of this project; results lie outside any standard)");
    if (rules->checked != NULL)
        text_addf(out, "Checked, as the description states, against %s.\n", rules->checked);
    text_add(out, "Deviations are those of slot means from the mean of the window.\n\n");
    for (int id = RULE_LIMITS; id < RULE_COUNT; id++)
        table_line(rules, (enum rule_id)id, out);
    for (int id = 0; id < RULE_LIMITS; id++)
        table_line(rules, (enum rule_id)id, out);
}
