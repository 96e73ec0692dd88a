/* What is to be said of a channel's readings. */
#include "ingest/complaint.h"

#include "base/calendar.h"
#include "base/number_spelled.h"
#include "base/numbers.h"
#include "base/text.h"
#include "ingest/error_codes.h"

#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

/* So many readings out of range that are the same number may be a mark. */
enum { MARK_LEAST = 3 };

/* Of readings that are all the same number: rows, and their time. Our own figures. */
enum { CONSTANT_ROWS = 60 };
#define CONSTANT_US (30 * S_PER_MIN * US_PER_S)

void value_text(const struct log_column *column, double value_si, char out[QUOTED_SIZE])
{
    const struct unit *unit = column->unit;
    snprintf(out, QUOTED_SIZE, "%.6g %s", (value_si - unit->offset) / unit->scale, unit->name);
}

/* Digits, one sign, digits: a number in the other habit. */
static bool other_decimal(const char *text, char sign)
{
    double value;
    return strchr(text, sign) != NULL && number_read(text, strlen(text), sign, &value);
}

/* A number that the signal's table or equation does not reach. */
static void say_beyond(const struct signal *signal, const char *text, const char *share,
                       struct fault *fault)
{
    bool table = signal->kind == SIGNAL_TABLE;
    fault_found(fault, "'%s' lies outside of the %s (%s)", text,
                table ? "calibration table" : "range of a platinum thermometer", share);
    if (table)
        fault_expected(fault, "%g to %g, after 'gain' and 'add'", signal->raw[0],
                       signal->raw[signal->n - 1]);
    else
        fault_expected(fault, "a resistance of -200 to 850 degC");
    fault_hint(fault, "such readings are not used: nothing is carried on beyond it; check its "
                      "statement and the sensor's wires");
}

/* In the instrument's own unit, as the user knows it. */
static void say_range(const struct log_plan *plan, const struct log_column *column,
                      const char *text, const char *share, bool mark, struct fault *fault)
{
    const struct channel_row *row = channel_row(column->channel);
    const struct log_range range = log_column_range(column);
    const struct unit *unit = column->unit;
    double number = 0.0;
    bool is_number = number_read(text, strlen(text), plan->decimal, &number);
    double value_si = log_column_si(column, number);
    if (is_number && isnan(value_si)) {
        say_beyond(column->signal, text, share, fault);
        return;
    }
    if (is_number)
        fault_found(fault, "'%s' makes %s %g %s, which cannot be (%s)", text, row->word,
                    (value_si - unit->offset) / unit->scale, unit->name, share);
    else
        fault_found(fault, "'%s' makes no possible %s (%s)", text, row->word, share);
    if (log_column_counts(column))
        fault_expected(fault, "%g %s or more", range.least_si / unit->scale, unit->name);
    else
        fault_expected(fault, "%g to %g %s", (range.least_si - unit->offset) / unit->scale,
                       (range.most_si - unit->offset) / unit->scale, unit->name);
    fault_hint(fault,
               mark ? "such readings are not used; all are exactly this number: if the logger "
                      "means 'no reading' by it, add it to 'missing' in [log]"
                    : "such readings are not used; check the instrument's 'unit', 'gain' and "
                      "'add', and the sensor");
}

/* What a code is known for. The text is as written, or a value in the column's unit. */
static const char *code_words(const struct log_plan *plan, const struct log_column *column,
                              const char *text)
{
    double number;
    size_t n = strcspn(text, " ");
    const struct error_code *code = NULL;
    if (number_read(text, n, plan->decimal, &number) || number_read(text, n, '.', &number))
        code = error_code_find(number, column->unit);
    return code == NULL ? "loggers write it where there is no reading" : code->words;
}

/* Readings that were set aside for what stands beside them. */
static void say_screened(enum reading_flag flag, const char *text, const char *share,
                         struct fault *fault)
{
    static const struct {
        const char *found;
        const char *hint;
    } words[FLAG_COUNT] = {
        [FLAG_SPIKE] = {"stands alone, far from the readings before and after it",
                        "such readings are not used; look for a loose contact; 'spike = off' under "
                        "this instrument would use them"},
        [FLAG_STUCK] =
            {"is repeated without any change for too long",
             "such readings are not used; is the sensor or its logger stuck? 'stuck after' "
             "under this instrument sets another time, or 'off'"},
        [FLAG_SATURATED] =
            {"is a plateau at the highest reading, as at the end of a converter",
             "such readings are not used; let the logger measure in a wider range, or "
             "state 'stuck after = off' under this instrument"},
        [FLAG_AFTER_LOST] =
            {"was counted since a row that was set aside, so that its time is not known",
             "such readings are not used; see why the rows before them were set aside"},
    };
    fault_found(fault, "'%s' %s (%s)", text, words[flag].found, share);
    fault_hint(fault, "%s", words[flag].hint);
}

/* "808.2 W/m2", "910 (guess)", "~905": a number and something else. */
static bool has_digit(const char *text)
{
    return text[strcspn(text, "0123456789")] != '\0';
}

/* What can be done about a text where a number belongs. `others`: in other rows there is one. */
static const char *not_a_number_hint(const struct log_plan *plan, const char *text, bool others)
{
    bool point = plan->decimal == '.';
    if (others && number_is_thousand_or_fraction(text, strlen(text), plan->decimal))
        return point
                   ? "such readings are not used: is it a thousand or a fraction? let the numbers "
                     "be written without signs between thousands; if commas are this log's decimal "
                     "signs, set 'decimal = comma' in [log]"
                   : "such readings are not used: is it a thousand or a fraction? let the numbers "
                     "be written without signs between thousands; if points are this log's decimal "
                     "signs, set 'decimal = point' in [log]";
    if (point && other_decimal(text, ','))
        return "this log seems to use a decimal comma; set 'decimal = comma' in [log]";
    if (!point && other_decimal(text, '.'))
        return "this log seems to use a decimal point; set 'decimal = point' in [log]";
    if (has_digit(text))
        return "such readings are not used; units and remarks belong into the names or a column of "
               "their own; if it marks a missing reading, add it to 'missing' in [log]";
    return "such readings are not used; if it marks a missing reading, add it to 'missing' in "
           "[log]";
}

static void say_reading(const struct log_plan *plan, const struct log_column *column,
                        enum reading_flag flag, const char *text, const char *share, bool mark,
                        bool others, struct fault *fault)
{
    if (flag == FLAG_NOT_A_NUMBER) {
        fault_found(fault, "'%s' is not a number (%s)", text, share);
        fault_hint(fault, "%s", not_a_number_hint(plan, text, others));
    } else if (flag == FLAG_OUT_OF_RANGE) {
        say_range(plan, column, text, share, mark, fault);
    } else if (flag == FLAG_ERROR_CODE) {
        fault_found(fault, "'%s' is an error code: %s (%s)", text, code_words(plan, column, text),
                    share);
        fault_hint(fault, "such readings are not used; if it is this logger's mark for a missing "
                          "reading, 'missing' in [log] says so");
    } else if (flag != FLAG_SHORT_ROW) {
        say_screened(flag, text, share, fault);
    } else {
        fault_found(fault, "the row ends before this column (%s)", share);
        fault_hint(fault, "such readings are not used; was the line cut off?");
    }
}

static void complain_reading(const struct log_plan *plan, const struct log_column *column,
                             const struct log_account *account, const struct first_seen *first,
                             enum reading_flag flag, bool alike, struct faults *faults)
{
    const struct log_channel *channel = &account->channels[column->channel];
    char share[96];
    enum fault_kind kind = channel->count[FLAG_GOOD] == 0 ? FAULT_INPUT : FAULT_WARNING;
    struct place at = fault_at(account->files[first->file].path, first->line, first->column);
    struct fault *fault = fault_new(faults, kind, at);
    fault_field(fault, "field %zu '%s'", first->field, column->name);
    complain_share(channel->count[flag], account->rows_used, share);
    bool mark = alike && channel->count[flag] >= MARK_LEAST;
    say_reading(plan, column, flag, first->text, share, mark, channel->count[FLAG_GOOD] > 0, fault);
}

/* No reading is good and none was of a kind that has been complained of: all are missing. */
static bool complain_all_missing(const struct log_column *column, const struct log_account *account,
                                 const struct first_seen *first, struct faults *faults)
{
    char number[32];
    struct place at = fault_at(account->files[first->file].path, first->line, 0);
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    fault_field(fault, "field %zu '%s'", first->field, column->name);
    fault_found(fault, "the column holds no number in any of %s rows",
                count_text(account->rows_used, number));
    fault_hint(fault, "was the sensor connected? name another column, or leave the instrument out");
    return false;
}

/* Readings that wander in any weather: all the same, they are of a sensor that is not connected. A
 * bath may hold its inlet so well that a coarse thermometer never moves. */
static void complain_constant(const struct log_column *column, const struct log_account *account,
                              struct faults *faults)
{
    static const enum channel wander[] = {CH_IRRADIANCE, CH_AMBIENT, CH_OUTLET};
    char text[QUOTED_SIZE], rows[32];
    const struct log_channel *channel = &account->channels[column->channel];
    uint64_t n = channel->count[FLAG_GOOD];
    bool wanders = false;
    for (size_t i = 0; i < sizeof wander / sizeof wander[0]; i++)
        wanders = wanders || wander[i] == column->channel;
    if (!wanders || n < CONSTANT_ROWS || account->last_us - account->first_us < CONSTANT_US ||
        channel->least_si < channel->most_si)
        return;
    value_text(column, channel->least_si, text);
    struct fault *fault =
        fault_new(faults, FAULT_WARNING, fault_at(account->files[0].path, 0, 0));
    fault_field(fault, "column '%s'", column->name);
    fault_found(fault, "%s in all %s rows", text, count_text(n, rows));
    fault_hint(fault, "is the sensor connected, and this its column?");
}

bool complain_channel(const struct log_plan *plan, const struct log_column *column,
                      const struct log_account *account, const struct first_seen first[FLAG_COUNT],
                      bool alike, struct faults *faults)
{
    static const enum reading_flag told[] = {FLAG_NOT_A_NUMBER, FLAG_OUT_OF_RANGE, FLAG_SHORT_ROW,
                                             FLAG_ERROR_CODE,   FLAG_SPIKE,        FLAG_STUCK,
                                             FLAG_SATURATED,    FLAG_AFTER_LOST};
    const struct log_channel *channel = &account->channels[column->channel];
    bool any = false;
    for (size_t i = 0; i < sizeof told / sizeof told[0]; i++) {
        if (channel->count[told[i]] == 0)
            continue;
        complain_reading(plan, column, account, &first[told[i]], told[i], alike, faults);
        any = true;
    }
    if (channel->count[FLAG_GOOD] > 0 || account->rows_used == 0) {
        complain_constant(column, account, faults);
        return true;
    }
    return !any && complain_all_missing(column, account, &first[FLAG_MISSING], faults);
}
