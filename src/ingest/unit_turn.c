#include "ingest/unit_turn.h"

#include "base/calendar.h"
#include "base/wide.h"

#include <math.h>
#include <stddef.h>

/* Water that leaps by less is not looked at. */
#define LEAP_K 8.0

static double converted(double value, bool to_F)
{
    return to_F ? 1.8 * value + 32.0 : (value - 32.0) / 1.8;
}

/* Whether a reading leaps by more than `leap_K` to where the other unit puts it, to `off_K` of
 * degrees Celsius. */
static bool leaps(double before, double after, bool to_F, double leap_K, double off_K)
{
    double scale = to_F ? 1.8 : 1.0;
    return fabs(after - before) > leap_K &&
           fabs(after - converted(before, to_F)) <= off_K * scale;
}

static bool nearer(double before, double after, bool to_F)
{
    return fabs(after - converted(before, to_F)) < fabs(after - before);
}

bool unit_turn_leaps(double before, double after, bool to_F)
{
    return fabs(after - before) > LEAP_K && nearer(before, after, to_F);
}

static enum unit_turn_kind judge(const struct unit_turn_row *a, const struct unit_turn_row *b,
                                 bool to_F)
{
    int64_t apart_us = b->time_us - a->time_us;
    bool water = nearer(a->in_degC, b->in_degC, to_F) || nearer(a->out_degC, b->out_degC, to_F);
    if (water && apart_us <= S_PER_H * US_PER_S &&
        leaps(a->air_degC, b->air_degC, to_F, 20.0, 6.0))
        return TURN_SURE;
    if (apart_us <= 2 * S_PER_MIN * US_PER_S &&
        leaps(a->in_degC, b->in_degC, to_F, LEAP_K, 2.5) &&
        leaps(a->out_degC, b->out_degC, to_F, LEAP_K, 2.5))
        return isnan(a->air_degC - b->air_degC) ? TURN_SURE : TURN_PERHAPS;
    if (apart_us > S_PER_H * US_PER_S && apart_us <= 3 * S_PER_DAY * US_PER_S &&
        !(isnan(b->in_degC) && isnan(b->out_degC)) &&
        leaps(a->air_degC, b->air_degC, to_F, 30.0, 12.0))
        return TURN_PERHAPS;
    return TURN_NONE;
}

enum unit_turn_kind unit_turn_between(const struct unit_turn_row *before,
                                      const struct unit_turn_row *after, bool *to_F)
{
    for (int way = 0; way < 2; way++) {
        enum unit_turn_kind kind = judge(before, after, way == 0);
        if (kind == TURN_NONE)
            continue;
        *to_F = way == 0;
        return kind;
    }
    return TURN_NONE;
}

static double reading(const struct block *block, enum channel channel, size_t i)
{
    return block->present[channel] ? block->value[channel][i] : NAN;
}

static struct unit_turn_row row_of(const struct block *block, size_t i)
{
    return (struct unit_turn_row){.any = true,
                                  .time_us = block->time_us[i],
                                  .place = block->place[i],
                                  .air_degC = reading(block, CH_AMBIENT, i),
                                  .in_degC = reading(block, CH_INLET, i),
                                  .out_degC = reading(block, CH_OUTLET, i)};
}

static void look_between(struct unit_turn *turn, const struct unit_turn_row *before,
                         const struct unit_turn_row *after)
{
    bool to_F = false;
    enum unit_turn_kind kind = unit_turn_between(before, after, &to_F);
    if (kind <= turn->kind)
        return;
    turn->kind = kind;
    turn->to_F = to_F;
    turn->before = *before;
    turn->after = *after;
}

WIDE_CLONES
static bool any_leap(const double *value, size_t n)
{
    int64_t found = 0;
    for (size_t i = 1; i < n; i++)
        found |= fabs(value[i] - value[i - 1]) > LEAP_K;
    return found != 0;
}

static bool may_turn(const struct block *block)
{
    return (block->present[CH_INLET] && any_leap(block->value[CH_INLET], block->n)) ||
           (block->present[CH_OUTLET] && any_leap(block->value[CH_OUTLET], block->n));
}

void unit_turn_look(struct unit_turn *turn, const struct block *block)
{
    if (block->n == 0 || turn->kind == TURN_SURE)
        return;
    struct unit_turn_row row = row_of(block, 0);
    if (turn->last.any)
        look_between(turn, &turn->last, &row);
    if (may_turn(block))
        for (size_t i = 1; i < block->n; i++) {
            struct unit_turn_row next = row_of(block, i);
            look_between(turn, &row, &next);
            row = next;
        }
    turn->last = row_of(block, block->n - 1);
}
