#include "ingest/join.h"

#include "base/text.h"
#include "ingest/feed.h"
#include "ingest/partner.h"
#include "ingest/reader.h"

#include <stdlib.h>
#include <string.h>

/* Joined rows on their way: the arrays of the block, of all logs' channels. */
struct out {
    struct block block;
    int64_t *times_us;
    double *values;
    uint8_t *flags;
};

struct join {
    const struct join_log *logs;
    size_t n;
    struct sink *sinks;
    size_t n_sinks;
    struct log_account *accounts;
    struct join_account *joined;
    struct faults *faults;

    struct feed feed[LOGS_MOST];
    struct partner partner[LOGS_MOST]; /* not the base's */
    const struct block *first[LOGS_MOST];
    struct out out;
    int64_t before_us; /* of the base's row before */
    bool follows;      /* on it, without a gap */
};

static bool make_out(struct join *join)
{
    size_t n_columns = 0, k = 0;
    struct out *out = &join->out;
    for (size_t i = 0; i < join->n; i++)
        n_columns += join->logs[i].plan->n_columns;
    out->times_us = calloc(BLOCK_ROWS, sizeof *out->times_us);
    out->values = calloc(n_columns * BLOCK_ROWS + 1, sizeof *out->values);
    out->flags = calloc(n_columns * BLOCK_ROWS + 1, sizeof *out->flags);
    if (out->times_us == NULL || out->values == NULL || out->flags == NULL)
        return fault_memory(join->faults);
    out->block.time_us = out->times_us;
    out->block.gap_before = true;
    for (size_t i = 0; i < join->n; i++)
        for (size_t c = 0; c < join->logs[i].plan->n_columns; c++, k++) {
            enum channel ch = join->logs[i].plan->columns[c].channel;
            out->block.present[ch] = true;
            out->block.value[ch] = out->values + k * BLOCK_ROWS;
            out->block.flag[ch] = out->flags + k * BLOCK_ROWS;
        }
    return true;
}

static int64_t interval_us(const struct join *join, size_t i)
{
    const struct log_timing *timing = &join->logs[i].plan->timing;
    return timing->side != STAMPS_INSTANT && timing->interval_us > 0 ? timing->interval_us
                                                                     : join->accounts[i].step_us;
}

static bool refuse_ratio(struct join *join, size_t i)
{
    size_t base = join->joined->base;
    struct fault *fault = fault_new(join->faults, FAULT_INPUT, join->logs[base].at);
    fault_found(fault,
                "a row of %s, every %.6g s, would hold more than %d rows of %s, every %.6g s",
                join->logs[base].label, (double)join->accounts[base].step_us / 1e6, PARTNER_ROWS,
                join->logs[i].label, (double)join->accounts[i].step_us / 1e6);
    fault_hint(fault,
               "look at the form in 'time' of both; if they are right, the slower logger must "
               "write more often to be of use");
    return false;
}

/* Once the first block of each is there, their steps are known. */
static bool choose_base(struct join *join)
{
    size_t base = 0;
    for (size_t i = 1; i < join->n; i++)
        if (join->accounts[i].step_us > join->accounts[base].step_us)
            base = i;
    join->joined->base = base;
    join->joined->gap_us = join->accounts[base].gap_us;
    int64_t base_us = interval_us(join, base);
    for (size_t i = 0; i < join->n; i++) {
        int64_t step_us = join->accounts[i].step_us;
        int64_t slot_us = base_us > step_us ? base_us : step_us;
        if (i == base)
            continue;
        join->joined->part[i].slot_us = slot_us;
        if (step_us > 0 && slot_us / step_us > PARTNER_ROWS)
            return refuse_ratio(join, i);
        if (!partner_init(&join->partner[i], &join->feed[i], join->first[i], join->logs[i].ahead_us,
                          slot_us))
            return fault_memory(join->faults);
    }
    return true;
}

/* Returns: false if a log cannot be held; otherwise `outside` says whether the row is left out. */
static bool reach_all(struct join *join, const struct slot_time *slot, bool *outside)
{
    *outside = false;
    for (size_t i = 0; i < join->n; i++) {
        bool beyond = false;
        if (i == join->joined->base)
            continue;
        if (!partner_reach(&join->partner[i], slot, &beyond))
            return refuse_ratio(join, i);
        *outside = *outside || beyond;
    }
    return true;
}

static void put_base(struct join *join, const struct block *block, size_t row)
{
    const struct log_plan *plan = join->logs[join->joined->base].plan;
    struct block *out = &join->out.block;
    for (size_t k = 0; k < plan->n_columns; k++) {
        enum channel ch = plan->columns[k].channel;
        out->value[ch][out->n] = block->value[ch][row];
        out->flag[ch][out->n] = block->flag[ch][row];
    }
}

static void put_partner(struct join *join, size_t i, const struct slot_time *slot)
{
    const struct log_plan *plan = join->logs[i].plan;
    struct join_part *part = &join->joined->part[i];
    struct block *out = &join->out.block;
    double value[CH_LOGGED];
    uint8_t flag[CH_LOGGED];
    if (!partner_mean(&join->partner[i], slot, value, flag) && part->empty++ == 0)
        part->first_empty_us = slot->time_us;
    for (size_t k = 0; k < plan->n_columns; k++) {
        out->value[plan->columns[k].channel][out->n] = value[k];
        out->flag[plan->columns[k].channel][out->n] = flag[k];
    }
}

static bool join_row(struct join *join, const struct block *block, size_t row)
{
    struct join_account *joined = join->joined;
    struct block *out = &join->out.block;
    bool outside;
    struct slot_time slot = {
        .time_us = block->time_us[row] - join->logs[joined->base].ahead_us,
        .follows = join->follows,
        .before_us = join->before_us,
    };
    join->before_us = slot.time_us;
    join->follows = true;
    if (!reach_all(join, &slot, &outside))
        return false;
    joined->outside += outside;
    if (outside)
        return true;
    put_base(join, block, row);
    for (size_t i = 0; i < join->n; i++)
        if (i != joined->base)
            put_partner(join, i, &slot);
    out->time_us[out->n++] = slot.time_us;
    joined->first_us = joined->rows == 0 ? slot.time_us : joined->first_us;
    joined->last_us = slot.time_us;
    joined->rows++;
    return true;
}

/* What was read of all logs together: of the others as far as they were taken. */
static uint64_t bytes_done(const struct join *join, const struct block *block)
{
    uint64_t bytes = block->bytes_done;
    for (size_t i = 0; i < join->n; i++)
        if (i != join->joined->base)
            bytes += join->partner[i].block != NULL ? join->partner[i].block->bytes_done
                                                    : join->accounts[i].bytes_total;
    return bytes;
}

static bool hand_on(struct join *join, const struct block *block)
{
    struct block *out = &join->out.block;
    if (out->n == 0)
        return true;
    out->bytes_done = bytes_done(join, block);
    for (size_t i = 0; i < join->n_sinks; i++)
        if (!join->sinks[i].take(join->sinks[i].state, out, join->faults))
            return false;
    out->n = 0;
    out->gap_before = false;
    return true;
}

static bool join_rows(struct join *join)
{
    for (size_t i = 0; i < join->n; i++)
        join->first[i] = feed_next(&join->feed[i]);
    for (size_t i = 0; i < join->n; i++)
        if (join->first[i] == NULL)
            return true; /* its reading has failed, and says so */
    if (!choose_base(join))
        return false;
    size_t base = join->joined->base;
    for (const struct block *block = join->first[base]; block != NULL;
         block = feed_next(&join->feed[base])) {
        join->follows = join->follows && !block->gap_before;
        join->out.block.gap_before |= block->gap_before;
        for (size_t row = 0; row < block->n; row++)
            if (!join_row(join, block, row))
                return false;
        if (!hand_on(join, block))
            return false;
    }
    return true;
}

/* Its rows that were of no use, once the log was read to its end. */
static void count_unused(struct join *join, size_t i)
{
    if (i == join->joined->base || join->partner[i].plan == NULL)
        return;
    partner_settle(&join->partner[i]);
    join->joined->part[i].unused = join->accounts[i].rows_used - join->partner[i].used;
}

static bool any_filled(const struct join *join)
{
    for (size_t i = 0; i < join->n; i++)
        if (i != join->joined->base && join->joined->part[i].empty == join->joined->rows)
            return false;
    return true;
}

/* Rows there were, and none of them had a partner. */
static bool refuse_apart(struct join *join)
{
    struct text text = {0};
    struct fault *fault = fault_new(join->faults, FAULT_INPUT, join->logs[1].at);
    for (size_t i = 0; i < join->n; i++) {
        char from[40], to[40];
        const struct log_account *account = &join->accounts[i];
        const struct zone *zone = join->logs[i].plan->zone;
        zone_iso(zone, account->first_us, from, sizeof from);
        zone_iso(zone, account->last_us, to, sizeof to);
        text_addf(&text, "%s%s runs from %s to %s", i > 0 ? ", " : "", join->logs[i].label, from,
                  to);
        if (join->logs[i].ahead_us != 0)
            text_addf(&text, " (clock offset %.10g s)", (double)join->logs[i].ahead_us / 1e6);
    }
    fault_found(fault, "the logs have no time in common: %s", text_string(&text));
    fault_hint(fault,
               "look at the zones in 'time', at 'clock offset', and whether the files are of "
               "the same days");
    text_free(&text);
    return false;
}

static bool finish(struct join *join)
{
    for (size_t i = 0; i < join->n_sinks; i++)
        if (join->sinks[i].finish != NULL &&
            !join->sinks[i].finish(join->sinks[i].state, join->faults))
            return false;
    return true;
}

static bool begin_all(struct join *join)
{
    for (size_t i = 0; i < join->n; i++)
        if (!feed_begin(&join->feed[i], join->logs[i].plan, join->logs[i].label,
                        &join->accounts[i], join->faults))
            return false;
    return make_out(join);
}

static bool read_several(struct join *join)
{
    bool whole = begin_all(join) && join_rows(join);
    bool good = whole;
    for (size_t i = 0; i < join->n; i++)
        good = feed_end(&join->feed[i], whole, join->faults) && good;
    for (size_t i = 0; good && i < join->n; i++)
        count_unused(join, i);
    if (good && (join->joined->rows == 0 || !any_filled(join)))
        good = refuse_apart(join);
    return good && finish(join);
}

static bool read_one(const struct join_log *log, struct sink *sinks, size_t n_sinks,
                     struct log_account *account, struct join_account *joined,
                     struct faults *faults)
{
    bool good = log_read(log->plan, sinks, n_sinks, account, faults);
    joined->rows = account->rows_used;
    joined->first_us = account->first_us;
    joined->last_us = account->last_us;
    joined->gap_us = account->gap_us;
    return good;
}

bool logs_read(const struct join_log *logs, size_t n, struct sink *sinks, size_t n_sinks,
               struct log_account *accounts, struct join_account *joined, struct faults *faults)
{
    *joined = (struct join_account){0};
    for (size_t i = 0; i < n; i++)
        log_account_init(&accounts[i]);
    if (n == 1)
        return read_one(&logs[0], sinks, n_sinks, &accounts[0], joined, faults);
    struct join *join = calloc(1, sizeof *join);
    if (join == NULL)
        return fault_memory(faults);
    join->logs = logs;
    join->n = n;
    join->sinks = sinks;
    join->n_sinks = n_sinks;
    join->accounts = accounts;
    join->joined = joined;
    join->faults = faults;
    bool good = read_several(join);
    for (size_t i = 0; i < n; i++)
        partner_free(&join->partner[i]);
    free(join->out.times_us);
    free(join->out.values);
    free(join->out.flags);
    free(join);
    return good;
}
