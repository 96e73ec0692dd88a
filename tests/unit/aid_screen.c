#include "tests/unit/aid_screen.h"

#include "ingest/block.h"
#include "ingest/error_codes.h"
#include "ingest/screen_limits.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

#define US INT64_C(1000000)

struct segment {
    const struct log_column *column;
    const struct screen_limits *limits;
    const int64_t *time_us;
    size_t n;
    double *value;
    uint8_t *flag;
};

static void put(struct segment *s, size_t i, enum reading_flag flag)
{
    s->value[i] = NAN;
    s->flag[i] = (uint8_t)flag;
}

/* The reading beside row i, where there is one within reach. */
static bool beside(const struct segment *s, size_t i, int step, double *value)
{
    if ((step < 0 && i == 0) || (step > 0 && i + 1 == s->n))
        return false;
    size_t k = step < 0 ? i - 1 : i + 1;
    *value = s->value[k];
    return !isnan(*value) && llabs(s->time_us[k] - s->time_us[i]) <= SCREEN_NEAR_S * US;
}

static bool is_code(const struct segment *s, double value)
{
    return value == 85.0 && s->column->unit->dimension == DIM_TEMPERATURE;
}

static bool codes(struct segment *s, size_t i)
{
    size_t first = i;
    double side;
    bool far = true, any = false;
    if (!is_code(s, s->value[i]) || (i + 1 < s->n && s->value[i + 1] == s->value[i]))
        return false;
    while (first > 0 && s->value[first - 1] == s->value[i])
        first--;
    if (i - first + 1 > SCREEN_CODES_MOST)
        return false;
    if (beside(s, first, -1, &side)) {
        any = true;
        far = fabs(side - s->value[i]) > s->limits->jump_si;
    }
    if (beside(s, i, 1, &side)) {
        any = true;
        far = far && fabs(side - s->value[i]) > s->limits->jump_si;
    }
    if (!any || !far)
        return false;
    for (size_t k = first; k <= i; k++)
        put(s, k, FLAG_ERROR_CODE);
    return true;
}

static void jumps(struct segment *s)
{
    double stated = s->column->screening.spike_si;
    double limit = stated > 0.0                        ? stated
                   : stated < 0.0 || !s->limits->spike ? INFINITY
                                                       : s->limits->jump_si;
    for (size_t i = 0; i < s->n; i++) {
        double before, after;
        if (codes(s, i) || !beside(s, i, -1, &before) || !beside(s, i, 1, &after))
            continue;
        double up = s->value[i] - before;
        double down = s->value[i] - after;
        if (fabs(up) > limit && fabs(down) > limit && (up > 0.0) == (down > 0.0) &&
            fabs(before - after) <= 0.5 * limit)
            put(s, i, FLAG_SPIKE);
    }
}

static enum reading_flag run_flag(const struct segment *s, size_t first, size_t end, double most,
                                  double step)
{
    const struct screen_limits *limits = s->limits;
    const struct log_screening *stated = &s->column->screening;
    double value = s->value[first];
    size_t n = end - first;
    int64_t lasts_us = s->time_us[end - 1] - s->time_us[first];
    bool can = limits->fine_si > 0.0 || limits->fine_share > 0.0;
    if (stated->resolution_si > 0.0)
        step = stated->resolution_si;
    bool fine = step <= (limits->fine_si + limits->fine_share * fabs(value)) * (1 + 1e-9) +
                            1e-12 * fabs(value);
    if (stated->stuck_us < 0 || (stated->stuck_us == 0 && (!can || !fine)) ||
        (limits->rest_si > 0.0 && fabs(value) <= limits->rest_si))
        return FLAG_GOOD;
    if (stated->stuck_us == 0 && limits->plateau_si > 0.0 && value >= limits->plateau_si &&
        n >= SCREEN_SATURATED_ROWS && lasts_us >= SCREEN_SATURATED_S * US && !(most > value))
        return FLAG_SATURATED;
    if (stated->stuck_us > 0)
        return n >= SCREEN_STUCK_ROWS_STATED && lasts_us >= stated->stuck_us ? FLAG_STUCK
                                                                             : FLAG_GOOD;
    return n >= SCREEN_STUCK_ROWS && (lasts_us >= SCREEN_STUCK_S * US || n >= BLOCK_ROWS)
               ? FLAG_STUCK
               : FLAG_GOOD;
}

void aid_screen_segment(const struct log_column *column, const int64_t *time_us, size_t n,
                        double most_before, double *step, double *value, uint8_t *flag)
{
    struct segment s = {column, screen_limits(column->channel), time_us, n, value, flag};
    double most = most_before;
    double before = NAN;
    jumps(&s);
    for (size_t first = 0, end; first < n; first = end) {
        double here = value[first];
        for (end = first + 1; end < n && value[end] == here; end++)
            ;
        double change = fabs(here - before);
        if (first % 16 == 0 && change > 0.0 && change < *step)
            *step = change;
        before = here;
        enum reading_flag found = isnan(here) ? FLAG_GOOD : run_flag(&s, first, end, most, *step);
        for (size_t i = first; i < end && found != FLAG_GOOD; i++)
            put(&s, i, found);
        /* A step out of a run that was set aside is none: the readings are no longer there. */
        if (found != FLAG_GOOD)
            before = NAN;
        else if (here > most || isnan(most))
            most = here;
    }
}
