#include "ingest/partner.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Room for twice as many, so that those held need be moved to the front seldom. */
enum { ROOM = 2 * PARTNER_ROWS };

bool partner_init(struct partner *partner, struct feed *feed, const struct block *block,
                  int64_t ahead_us, int64_t slot_us)
{
    size_t n = feed->plan->n_columns;
    memset(partner, 0, sizeof *partner);
    partner->plan = feed->plan;
    partner->account = feed->account;
    partner->feed = feed;
    partner->block = block;
    partner->ahead_us = ahead_us;
    partner->half_us = slot_us / 2;
    struct partner_rows *rows = &partner->rows;
    rows->time_us = calloc(ROOM, sizeof *rows->time_us);
    rows->since_us = calloc(ROOM, sizeof *rows->since_us);
    rows->used = calloc(ROOM, sizeof *rows->used);
    rows->value = calloc(ROOM * n + 1, sizeof *rows->value);
    rows->flag = calloc(ROOM * n + 1, sizeof *rows->flag);
    for (size_t k = 0; k < n; k++)
        partner->counts = partner->counts || log_column_since_row(&partner->plan->columns[k]);
    return rows->time_us != NULL && rows->since_us != NULL && rows->used != NULL &&
           rows->value != NULL && rows->flag != NULL;
}

void partner_free(struct partner *partner)
{
    free(partner->rows.time_us);
    free(partner->rows.since_us);
    free(partner->rows.used);
    free(partner->rows.value);
    free(partner->rows.flag);
    memset(partner, 0, sizeof *partner);
}

static void drop_first(struct partner *partner)
{
    struct partner_rows *rows = &partner->rows;
    partner->used += rows->used[rows->from];
    rows->from++;
    rows->n--;
}

void partner_settle(struct partner *partner)
{
    while (partner->rows.n > 0)
        drop_first(partner);
}

/* The row of the log that comes next, by the common clock. Returns: false if there is none. */
static bool peek(struct partner *partner, int64_t *time_us)
{
    while (partner->block != NULL && partner->at == partner->block->n) {
        partner->block = feed_next(partner->feed);
        partner->at = 0;
    }
    if (partner->block == NULL)
        return false;
    *time_us = partner->block->time_us[partner->at] - partner->ahead_us;
    return true;
}

static void move_to_front(struct partner *partner)
{
    struct partner_rows *rows = &partner->rows;
    size_t from = rows->from, n = rows->n;
    memmove(rows->time_us, rows->time_us + from, n * sizeof *rows->time_us);
    memmove(rows->since_us, rows->since_us + from, n * sizeof *rows->since_us);
    memmove(rows->used, rows->used + from, n * sizeof *rows->used);
    for (size_t k = 0; k < partner->plan->n_columns; k++) {
        double *value = rows->value + k * ROOM;
        uint8_t *flag = rows->flag + k * ROOM;
        memmove(value, value + from, n * sizeof *value);
        memmove(flag, flag + from, n * sizeof *flag);
    }
    rows->from = 0;
}

static void hold(struct partner *partner, int64_t time_us)
{
    struct partner_rows *rows = &partner->rows;
    const struct block *block = partner->block;
    if (rows->from + rows->n == ROOM)
        move_to_front(partner);
    size_t i = rows->from + rows->n++;
    bool begins = !partner->any || (partner->at == 0 && block->gap_before);
    rows->time_us[i] = time_us;
    rows->since_us[i] = begins ? INT64_MAX : time_us - partner->last_us;
    rows->used[i] = false;
    for (size_t k = 0; k < partner->plan->n_columns; k++) {
        enum channel ch = partner->plan->columns[k].channel;
        rows->value[k * ROOM + i] = block->value[ch][partner->at];
        rows->flag[k * ROOM + i] = block->flag[ch][partner->at];
    }
}

/* Counts are added up from the end of the slot before, which may lie before this one. */
static int64_t needed_from(const struct partner *partner, const struct slot_time *slot)
{
    int64_t start_us = slot->time_us - partner->half_us;
    int64_t before_us = slot->before_us + partner->half_us;
    return partner->counts && slot->follows && before_us < start_us ? before_us : start_us;
}

bool partner_reach(struct partner *partner, const struct slot_time *slot, bool *outside)
{
    int64_t time_us;
    int64_t end_us = slot->time_us + partner->half_us;
    int64_t from_us = needed_from(partner, slot);
    struct partner_rows *rows = &partner->rows;
    while (rows->n > 0 && rows->time_us[rows->from] < from_us)
        drop_first(partner);
    while (peek(partner, &time_us) && time_us <= end_us) {
        if (rows->n == PARTNER_ROWS)
            return false;
        if (time_us >= from_us)
            hold(partner, time_us);
        if (!partner->any)
            partner->first_us = time_us;
        partner->any = true;
        partner->last_us = time_us;
        partner->at++;
    }
    *outside = !partner->any || partner->first_us > end_us ||
               (partner->block == NULL && partner->last_us < slot->time_us - partner->half_us);
    return true;
}

/* 1 inside, 1/2 at an end. */
static double weight(const struct partner *partner, const struct slot_time *slot, size_t i)
{
    int64_t off_us = partner->rows.time_us[i] - slot->time_us;
    if (off_us < 0)
        off_us = -off_us;
    return off_us < partner->half_us || partner->half_us == 0 ? 1.0
           : off_us == partner->half_us                       ? 0.5
                                                              : 0.0;
}

/* What a reading adds to the first one: of a direction the short way round. */
static double beyond(const struct partner *partner, size_t k, double value, double first)
{
    double off = value - first;
    return partner->plan->columns[k].joined == JOINED_DIRECTION ? remainder(off, 2.0 * M_PI) : off;
}

/* Half of the slot is covered by as many rows. */
static bool covers(const struct partner *partner, double rows)
{
    double step_us = (double)partner->account->step_us;
    return rows > 0.0 && rows * step_us >= (double)partner->half_us;
}

static uint8_t mean(const struct partner *partner, const struct slot_time *slot, size_t k,
                    double *value)
{
    const struct partner_rows *rows = &partner->rows;
    const double *values = rows->value + k * ROOM;
    const uint8_t *flags = rows->flag + k * ROOM;
    uint8_t bad = FLAG_MISSING;
    double first = NAN, sum = 0.0, n = 0.0;
    for (size_t i = rows->from; i < rows->from + rows->n; i++) {
        double part = weight(partner, slot, i);
        if (part > 0.0 && flags[i] == FLAG_GOOD) {
            first = n > 0.0 ? first : values[i];
            sum += part * beyond(partner, k, values[i], first);
            n += part;
        } else if (part > 0.0 && bad == FLAG_MISSING)
            bad = flags[i];
    }
    if (!covers(partner, n))
        return bad;
    *value = first + sum / n;
    return FLAG_GOOD;
}

/* A step and a half is the most that jitter makes of a step. */
static bool is_step(const struct partner *partner, int64_t time_us)
{
    int64_t step_us = partner->account->step_us;
    return time_us <= step_us + step_us / 2;
}

/* An older reading would be taken for that of the slot's end, and the flow for another. */
static uint8_t last(const struct partner *partner, const struct slot_time *slot, size_t k,
                    double *value)
{
    const struct partner_rows *rows = &partner->rows;
    size_t i = rows->from + rows->n - 1;
    if (rows->n == 0 || !is_step(partner, slot->time_us + partner->half_us - rows->time_us[i]))
        return FLAG_MISSING;
    *value = rows->value[k * ROOM + i];
    return rows->flag[k * ROOM + i];
}

static uint8_t sum(const struct partner *partner, const struct slot_time *slot, size_t k,
                   double *value)
{
    const struct partner_rows *rows = &partner->rows;
    size_t n = 0;
    *value = 0.0;
    for (size_t i = rows->from; i < rows->from + rows->n; i++) {
        if (rows->time_us[i] <= slot->before_us + partner->half_us)
            continue;
        if (rows->flag[k * ROOM + i] != FLAG_GOOD || !is_step(partner, rows->since_us[i]))
            return FLAG_MISSING;
        *value += rows->value[k * ROOM + i];
        n++;
    }
    return slot->follows && n > 0 ? FLAG_GOOD : FLAG_MISSING;
}

static bool fill(struct partner *partner, const struct slot_time *slot)
{
    struct partner_rows *rows = &partner->rows;
    double n = 0.0;
    for (size_t i = rows->from; i < rows->from + rows->n; i++) {
        double part = weight(partner, slot, i);
        rows->used[i] = rows->used[i] || part > 0.0;
        n += part;
    }
    return covers(partner, n);
}

bool partner_mean(struct partner *partner, const struct slot_time *slot, double *value,
                  uint8_t *flag)
{
    static uint8_t (*const forms[])(const struct partner *, const struct slot_time *, size_t,
                                    double *) = {
        [JOINED_MEAN] = mean, [JOINED_DIRECTION] = mean, [JOINED_LAST] = last, [JOINED_SUM] = sum};
    bool filled = fill(partner, slot);
    for (size_t k = 0; k < partner->plan->n_columns; k++) {
        double read = NAN;
        flag[k] = filled ? forms[partner->plan->columns[k].joined](partner, slot, k, &read)
                         : FLAG_MISSING;
        value[k] = flag[k] == FLAG_GOOD ? read : NAN;
    }
    return filled;
}
