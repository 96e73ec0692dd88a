#include "draft/draft_read.h"

#include "draft/advice.h"
#include "draft/places.h"
#include "draft/totals.h"
#include "draft/units_settle.h"
#include "draft/zone_doubt.h"

#include <stdlib.h>
#include <string.h>

static bool look_at_column(struct draft_log *log, size_t i)
{
    const struct head_rows *head = &log->sample.head;
    struct draft_column *column = &log->columns[i];
    column->guess.channel = CH_COUNT;
    if (!clock_uses(&log->clock, i))
        guess_column(head->name[i], head->unit == NULL ? "" : head->unit[i], &column->guess);
    column->trouble = sample_name_trouble(&log->sample, i, clock_uses(&log->clock, i));
    return measure_column(&log->sample, i, &column->measure, log->value + i * log->sample.n_rows);
}

static bool look_at_columns(struct draft_log *log, struct faults *faults)
{
    size_t n = log->sample.head.n;
    log->columns = calloc(n, sizeof *log->columns);
    log->value = calloc(n * log->sample.n_rows, sizeof *log->value);
    if (log->columns == NULL || log->value == NULL)
        return fault_memory(faults);
    for (size_t i = 0; i < n; i++)
        if (!look_at_column(log, i))
            return fault_memory(faults);
    return true;
}

/* A column without one number is chosen only where there is no other; a total of water only where
 * there is no flow, but that of a heat meter before the heat of the moment, which it holds better.
 */
static bool is_better(const struct draft_column *a, const struct draft_column *b)
{
    if ((a->measure.n == 0) != (b->measure.n == 0))
        return b->measure.n == 0;
    if (guess_is_total(&a->guess) != guess_is_total(&b->guess))
        return guess_is_total(a->guess.channel == CH_METERED ? &a->guess : &b->guess);
    return a->guess.by < b->guess.by;
}

static size_t choose(const struct draft_log *log, enum channel channel)
{
    size_t none = log->sample.head.n;
    size_t best = none;
    for (size_t i = 0; i < none; i++)
        if (draft_log_claims(log, i, channel) &&
            (best == none || is_better(&log->columns[i], &log->columns[best])))
            best = i;
    return best;
}

/* A description names one meter of flow: a volume's where there are both. */
static void choose_meter(struct draft_log *log)
{
    size_t none = log->sample.head.n;
    bool flow = log->chosen[CH_FLOW] != none || log->chosen[CH_MASS_FLOW] != none;
    if (!flow && log->chosen[CH_METERED] != none)
        draft_log_doubt(
            log,
            "No column of a flow was recognised: the heat will be that of the heat meter "
            "('%.60s'). With a flow beside it ('measures = flow') the two check each "
            "other.",
            log->sample.head.name[log->chosen[CH_METERED]]);
    if (log->chosen[CH_FLOW] == none || log->chosen[CH_MASS_FLOW] == none)
        return;
    draft_log_doubt(log,
                    "There are a flow meter ('%.60s') and one that weighs ('%.60s'); the first is "
                    "taken. For the other write 'measures = mass flow' and its column instead.",
                    log->sample.head.name[log->chosen[CH_FLOW]],
                    log->sample.head.name[log->chosen[CH_MASS_FLOW]]);
    log->chosen[CH_MASS_FLOW] = none;
}

bool draft_log_read(struct draft_log *log, const char *const *logs, size_t n,
                    const struct dialect *pinned, struct faults *faults)
{
    memset(log, 0, sizeof *log);
    log->logs = logs;
    log->n_logs = n;
    if (!sample_read(&log->sample, logs, n, pinned, faults) ||
        !clock_find(&log->sample, &log->clock, faults) || !look_at_columns(log, faults))
        return false;
    for (int ch = 0; ch < CH_LOGGED; ch++)
        log->chosen[ch] = choose(log, (enum channel)ch);
    choose_meter(log);
    places_settle(log);
    totals_settle(log);
    units_settle(log);
    zone_doubt(log);
    for (size_t i = 0; i < log->sample.head.n; i++)
        measure_outside(log->value + i * log->sample.n_rows, log->sample.n_rows,
                        &log->columns[i].guess, &log->columns[i].measure);
    return advice_find(log, faults);
}
