#include "draft/advice.h"

#include "draft/clock_beside.h"
#include "draft/files_doubt.h"
#include "window/finder.h"
#include "window/rules_text.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { ROWS_ENOUGH = 10, JUDGED = 2, POINTS_MOST = 300 };

static const enum rule_id judged[JUDGED] = {RULE_INLET_DEVIATION, RULE_FLOW_DEVIATION};

/* Means over the slots of window/slots.h, in sunshine and in the order of time; slots without a
 * reading are left out. */
struct slot_means {
    int64_t *number; /* of neighbours it differs by 1 */
    double *mean[JUDGED];
    size_t *count;
    size_t n;
};

static void means_free(struct slot_means *means)
{
    free(means->number);
    for (size_t k = 0; k < JUDGED; k++)
        free(means->mean[k]);
    free(means->count);
}

static bool means_open(struct slot_means *means, size_t rows)
{
    memset(means, 0, sizeof *means);
    means->number = malloc((rows + 1) * sizeof *means->number);
    means->count = malloc((rows + 1) * sizeof *means->count);
    bool good = means->number != NULL && means->count != NULL;
    for (size_t k = 0; k < JUDGED; k++) {
        means->mean[k] = malloc((rows + 1) * sizeof *means->mean[k]);
        good = good && means->mean[k] != NULL;
    }
    return good;
}

/* Out: value   of the judged channels. Returns: false where one of them has none. */
static bool judged_values(const struct draft_log *log, size_t row, double value[JUDGED])
{
    bool whole = log->clock.time_us[row] != CLOCK_NONE && draft_log_sunny(log, row);
    for (size_t k = 0; k < JUDGED; k++) {
        const struct rule_row *rule = rule_row(judged[k]);
        bool relative = rule->statistic == RULE_DEVIATION_RELATIVE; /* then no unit is needed */
        value[k] = relative ? draft_log_number(log, rule->channel, row)
                            : draft_log_si(log, rule->channel, row);
        whole = whole && !isnan(value[k]);
    }
    return whole;
}

/* Time between rows; those that share a stamp are spread evenly. */
static double row_step_s(const struct draft_log *log)
{
    return (double)log->clock.run.step_us * 1e-6 / (double)log->clock.run.rows_per_stamp;
}

/* Which slot a row is in. */
struct numbering {
    int64_t slot_us;
    bool each_reading; /* rows as slow as slots are slots of their own */
    int64_t before_us; /* stamp of the row before; CLOCK_NONE: none yet */
    int64_t number;
    int64_t shared; /* rows before it with its stamp */
};

static int64_t slot_number(struct numbering *numbering, const struct draft_log *log, size_t row)
{
    const struct clock_run *run = &log->clock.run;
    int64_t now_us = log->clock.time_us[row];
    numbering->shared = now_us == numbering->before_us ? numbering->shared + 1 : 0;
    if (numbering->each_reading && numbering->before_us != CLOCK_NONE)
        numbering->number += 2 * llabs(now_us - numbering->before_us) > 3 * run->step_us ? 2 : 1;
    if (!numbering->each_reading)
        numbering->number =
            (now_us + numbering->shared * run->step_us / (int64_t)run->rows_per_stamp) /
            numbering->slot_us;
    numbering->before_us = now_us;
    return numbering->number;
}

static void fill_means(const struct draft_log *log, double slot_s, struct slot_means *means)
{
    struct numbering numbering = {.slot_us = llround(slot_s * 1e6), .before_us = CLOCK_NONE};
    numbering.each_reading = !(slot_s > row_step_s(log));
    for (size_t row = 0; row < log->sample.n_rows; row++) {
        double value[JUDGED];
        if (log->clock.time_us[row] == CLOCK_NONE)
            continue;
        int64_t number = slot_number(&numbering, log, row);
        if (!judged_values(log, row, value))
            continue;
        if (means->n == 0 || means->number[means->n - 1] != number) {
            means->number[means->n] = number;
            means->count[means->n] = 0;
            for (size_t k = 0; k < JUDGED; k++)
                means->mean[k][means->n] = 0.0;
            means->n++;
        }
        size_t at = means->n - 1;
        means->count[at]++;
        for (size_t k = 0; k < JUDGED; k++)
            means->mean[k][at] += (value[k] - means->mean[k][at]) / (double)means->count[at];
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

static void find_quiet(const struct slot_means *slots, const struct rules *rules, size_t length,
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

/* Too few readings in a window are no matter of limits: other rules would not help. */
static void doubt_slow(struct draft_log *log, const struct rules *rules)
{
    double step_s = row_step_s(log);
    double window_s = rules->rule[RULE_WINDOW].value.high;
    if (!(step_s * FINDER_FEW_SLOTS > window_s))
        return;
    draft_log_doubt(
        log,
        "A row comes every %g minutes: in a window of %g minutes nobody sees whether it "
        "was steady. Log more often, or make 'window' longer.",
        step_s / 60.0, window_s / 60.0);
}

/* As window/slots.h has it: readings that come about as slowly are slots of their own. */
static double slot_length_s(const struct draft_log *log, const struct rules *rules)
{
    double slot_s = rules->rule[RULE_SLOT].value.high;
    double step_s = row_step_s(log);
    return 10.0 * step_s >= 9.0 * slot_s ? step_s : slot_s;
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
    struct slot_means means;
    struct quiet quiet = {0};
    double slot_s = slot_length_s(log, rules);
    double length_s =
        rules->rule[RULE_WINDOW].value.high + rules->rule[RULE_CONDITIONING].value.high;
    bool good = means_open(&means, log->sample.n_rows);
    if (good) {
        fill_means(log, slot_s, &means);
        find_quiet(&means, rules, (size_t)ceil(length_s / slot_s - 1e-9), &quiet);
    }
    means_free(&means);
    if (quiet.n_looked == 0 || quiet.n_steady > 0)
        return good;
    for (size_t k = 0; k < JUDGED; k++)
        say_channel(log, rules, judged[k], quiet.least[k], length_s / 60.0);
    if (!log->homemade)
        say(log, "in no %g minutes looked at are inlet and flow both as steady as is asked for",
            length_s / 60.0);
    return good;
}

/* Up to or from some row on the outlet is the colder one: all but one in fifty of the sunny rows
 * fit.
 * In:      rows, below   how many are sunny, and in how many of them the outlet is colder
 * Returns: the row; that of the sample's end if there is none. */
static size_t exchanged_from(const struct draft_log *log, size_t rows, size_t below)
{
    enum { UNFIT_SHARE = 50 };
    size_t n = 0, colder = 0, best = rows, at = log->sample.n_rows;
    for (size_t row = 0; row < log->sample.n_rows; row++) {
        double rise = draft_log_si(log, CH_OUTLET, row) - draft_log_si(log, CH_INLET, row);
        if (!draft_log_sunny(log, row) || isnan(rise))
            continue;
        size_t unfit = colder + (rows - n) - (below - colder); /* colder only from here on */
        unfit = unfit < rows - unfit ? unfit : rows - unfit;   /* or only up to here */
        if (n >= ROWS_ENOUGH && rows - n >= ROWS_ENOUGH && unfit < best) {
            best = unfit;
            at = row;
        }
        n++;
        colder += rise < 0.0;
    }
    return UNFIT_SHARE * best <= rows ? at : log->sample.n_rows;
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
    size_t from = 10 * below > n && 10 * below <= 9 * n ? exchanged_from(log, n, below)
                                                        : log->sample.n_rows;
    if (from < log->sample.n_rows)
        draft_log_doubt(log,
                        "The outlet is colder than the inlet in %zu of %zu sunny rows, all on one "
                        "side of line %ld of '%.80s': did the two change places there? Such rows "
                        "give no heat; give the log in two parts, each with its own description.",
                        below, n, log->sample.row[from].line,
                        log->logs[log->sample.row[from].log]);
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

static void doubt_one_time(struct draft_log *log)
{
    if (log->clock.found && log->clock.n_read > 1 && log->clock.first_us == log->clock.last_us)
        draft_log_doubt(
            log,
            "All rows have one and the same time: does '%.60s' hold the day alone? Join it "
            "to the hours, in one column or as Date + Time, and draft again.",
            log->sample.head.name[log->clock.column[0]]);
}

/* A day of up to 31 without a month was taken for one of the year. */
static void doubt_day_of_year(struct draft_log *log)
{
    const struct clock *clock = &log->clock;
    if (!clock->found || strncmp(clock->format + 2, " %j", 3) != 0)
        return;
    const struct draft_column *day = &log->columns[clock->column[1]];
    if (day->measure.n > 0 && day->measure.most <= 31.0)
        draft_log_doubt(log,
                        "'%.60s' is taken for the day of the year, %g for January %g. If it is the "
                        "day of a month, a column of the month is missing.",
                        log->sample.head.name[clock->column[1]], day->measure.most,
                        day->measure.most);
}

static void doubt_half_day(struct draft_log *log)
{
    if (!log->clock.found || log->clock.counts != CLOCK_STAMPS)
        return;
    size_t column = clock_half_beside(&log->sample, &log->clock);
    if (column < log->sample.head.n)
        draft_log_doubt(
            log,
            "Column '%.60s' holds AM and PM: join it to the time, one blank between, and "
            "draft again. Without it the afternoon would be read as morning.",
            log->sample.head.name[column]);
}

bool advice_find(struct draft_log *log, struct faults *faults)
{
    struct rules rules;
    doubt_exchanged(log);
    doubt_day_of_year(log);
    if (!files_doubt(log))
        return fault_memory(faults);
    doubt_no_time(log);
    doubt_half_day(log);
    doubt_one_time(log);
    if (!log->clock.found)
        return true;
    if (!rules_init(&rules, NULL, fault_at(NULL, 0, 0), faults))
        return false;
    doubt_slow(log, &rules);
    return judge_quiet(log, &rules) || fault_memory(faults);
}
