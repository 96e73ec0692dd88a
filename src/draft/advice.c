#include "draft/advice.h"

#include "window/rules.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { ROWS_ENOUGH = 10, JUDGED = 2, POINTS_MOST = 300 };

static const enum rule_id judged[JUDGED] = {RULE_INLET_DEVIATION, RULE_FLOW_DEVIATION};

/* Means over slots in sunshine, in the order of time; slots without a reading are left out. */
struct slots {
    int64_t *number; /* since the first row */
    double *mean[JUDGED];
    size_t *count;
    size_t n;
};

static void slots_free(struct slots *slots)
{
    free(slots->number);
    for (size_t k = 0; k < JUDGED; k++)
        free(slots->mean[k]);
    free(slots->count);
}

static bool slots_open(struct slots *slots, size_t rows)
{
    memset(slots, 0, sizeof *slots);
    slots->number = malloc((rows + 1) * sizeof *slots->number);
    slots->count = malloc((rows + 1) * sizeof *slots->count);
    bool good = slots->number != NULL && slots->count != NULL;
    for (size_t k = 0; k < JUDGED; k++) {
        slots->mean[k] = malloc((rows + 1) * sizeof *slots->mean[k]);
        good = good && slots->mean[k] != NULL;
    }
    return good;
}

static void fill_slots(const struct draft_log *log, int64_t slot_us, struct slots *slots)
{
    for (size_t row = 0; row < log->sample.n_rows; row++) {
        double value[JUDGED];
        bool whole = log->clock.time_us[row] != CLOCK_NONE && draft_log_sunny(log, row);
        for (size_t k = 0; k < JUDGED; k++) {
            const struct rule_row *rule = rule_row(judged[k]);
            bool relative = rule->statistic == RULE_DEVIATION_RELATIVE; /* then no unit is needed */
            value[k] = relative ? draft_log_number(log, rule->channel, row)
                                : draft_log_si(log, rule->channel, row);
            whole = whole && !isnan(value[k]);
        }
        if (!whole)
            continue;
        int64_t number = log->clock.time_us[row] / slot_us;
        if (slots->n == 0 || slots->number[slots->n - 1] != number) {
            slots->number[slots->n] = number;
            slots->count[slots->n] = 0;
            for (size_t k = 0; k < JUDGED; k++)
                slots->mean[k][slots->n] = 0.0;
            slots->n++;
        }
        size_t at = slots->n - 1;
        slots->count[at]++;
        for (size_t k = 0; k < JUDGED; k++)
            slots->mean[k][at] += (value[k] - slots->mean[k][at]) / (double)slots->count[at];
    }
}

/* The largest distance of a slot's mean from the mean of n slots; as a share of it if `relative`.
 */
static double deviation(const double *mean, size_t n, bool relative)
{
    double middle = 0.0, worst = 0.0;
    for (size_t i = 0; i < n; i++)
        middle += mean[i] / (double)n;
    for (size_t i = 0; i < n; i++)
        worst = fmax(worst, fabs(mean[i] - middle));
    return relative ? worst / middle : worst;
}

/* The quietest stretch as long as a window and its conditioning. */
struct quiet {
    size_t n_looked;      /* whole stretches */
    size_t n_steady;      /* of these, with all judged rules met */
    double least[JUDGED]; /* smallest deviation of each */
};

static void find_quiet(const struct slots *slots, const struct rules *rules, size_t length,
                       struct quiet *quiet)
{
    memset(quiet, 0, sizeof *quiet);
    for (size_t from = 0; from + length <= slots->n; from++) {
        if (slots->number[from + length - 1] - slots->number[from] != (int64_t)length - 1)
            continue;
        bool steady = true;
        for (size_t k = 0; k < JUDGED; k++) {
            const struct rule_row *row = rule_row(judged[k]);
            double now =
                deviation(slots->mean[k] + from, length, row->statistic == RULE_DEVIATION_RELATIVE);
            const struct rule_value *value = &rules->rule[judged[k]].value;
            steady = steady && (!value->on || rule_meets(judged[k], value, now));
            quiet->least[k] = quiet->n_looked == 0 ? now : fmin(quiet->least[k], now);
        }
        quiet->n_looked++;
        quiet->n_steady += steady;
    }
}

static void say(struct draft_log *log, const char *format, ...)
    __attribute__((format(printf, 2, 3)));
static void say(struct draft_log *log, const char *format, ...)
{
    va_list arguments;
    size_t n = strlen(log->rules_why);
    if (n > 0 && n + 3 < sizeof log->rules_why) {
        strcpy(log->rules_why + n, "; ");
        n += 2;
    }
    va_start(arguments, format);
    vsnprintf(log->rules_why + n, sizeof log->rules_why - n, format, arguments);
    va_end(arguments);
    log->homemade = true;
}

/* Rows further apart than a slot leave slots without a reading. */
static bool judge_step(struct draft_log *log, const struct rules *rules)
{
    double step_s = (double)log->clock.run.step_us * 1e-6 / (double)log->clock.run.rows_per_stamp;
    double slot_s = rules->rule[RULE_SLOT].value.high;
    if (!(step_s > slot_s))
        return false;
    say(log, "a row every %g s, and the standard's means are over %g s", step_s, slot_s);
    return true;
}

static void say_channel(struct draft_log *log, const struct rules *rules, enum rule_id id,
                        double least, double minutes)
{
    char found[RULE_TEXT_SIZE], allowed[RULE_TEXT_SIZE];
    const struct rule_value *value = &rules->rule[id].value;
    if (!value->on || rule_meets(id, value, least))
        return;
    say(log, "in the quietest %g minutes looked at the %s strays by %s, and %s is allowed", minutes,
        channel_row(rule_row(id)->channel)->word,
        rule_statistic_text(id, least, found, sizeof found),
        rule_value_text(id, value, allowed, sizeof allowed));
}

static bool judge_quiet(struct draft_log *log, const struct rules *rules)
{
    struct slots slots;
    struct quiet quiet = {0};
    double slot_s = rules->rule[RULE_SLOT].value.high;
    double length_s =
        rules->rule[RULE_WINDOW].value.high + rules->rule[RULE_CONDITIONING].value.high;
    bool good = slots_open(&slots, log->sample.n_rows);
    if (good) {
        fill_slots(log, llround(slot_s * 1e6), &slots);
        find_quiet(&slots, rules, (size_t)lround(length_s / slot_s), &quiet);
    }
    slots_free(&slots);
    if (quiet.n_looked == 0 || quiet.n_steady > 0)
        return good;
    for (size_t k = 0; k < JUDGED; k++)
        say_channel(log, rules, judged[k], quiet.least[k], length_s / 60.0);
    if (!log->homemade)
        say(log, "in no %g minutes looked at are inlet and flow both as steady as is asked for",
            length_s / 60.0);
    return good;
}

static void doubt_exchanged(struct draft_log *log)
{
    size_t n = 0, below = 0;
    for (size_t row = 0; row < log->sample.n_rows; row++) {
        double rise = draft_log_si(log, CH_OUTLET, row) - draft_log_si(log, CH_INLET, row);
        if (!draft_log_sunny(log, row) || isnan(rise))
            continue;
        n++;
        below += rise < 0.0;
    }
    if (n >= ROWS_ENOUGH && 10 * below > 9 * n)
        draft_log_doubt(log,
                        "The outlet is colder than the inlet in %zu of %zu sunny rows: are the two "
                        "exchanged?",
                        below, n);
}

static void doubt_no_time(struct draft_log *log)
{
    if (!log->clock.found && !log->sample.more && log->sample.n_rows <= POINTS_MOST)
        draft_log_doubt(
            log, "No column holds a time. If each row is a mean over a steady stretch, this is "
                 "a table of points: name its columns as 'etabench draft --points' does, "
                 "'inlet [degC]', and draft again.");
}

bool advice_find(struct draft_log *log, struct faults *faults)
{
    struct rules rules;
    doubt_exchanged(log);
    doubt_no_time(log);
    if (!log->clock.found)
        return true;
    if (!rules_init(&rules, NULL, fault_at(NULL, 0, 0), faults))
        return false;
    return judge_step(log, &rules) || judge_quiet(log, &rules) || fault_memory(faults);
}
