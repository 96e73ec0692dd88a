#include "ingest/swap.h"

#include "base/calendar.h"

#include <stdlib.h>

#define US_PER_DAY (S_PER_DAY * US_PER_S)

enum { LEAP_DAYS = 20, FOLLOW_DAYS = 4 };

/* Returns: false if no other day comes of it. */
static bool exchange(const struct zone *zone, int64_t time_us, int64_t *out_us)
{
    int64_t offset_us = zone_offset_s(zone, time_us) * US_PER_S;
    struct civil civil;
    calendar_civil(time_us + offset_us, &civil);
    int day = civil.day;
    if (day == civil.month || day > 12)
        return false;
    civil.day = civil.month;
    civil.month = day;
    if (!calendar_instant(&civil, out_us))
        return false;
    *out_us -= offset_us;
    return true;
}

static bool follows(int64_t before_us, int64_t now_us)
{
    return now_us > before_us && now_us - before_us <= FOLLOW_DAYS * US_PER_DAY;
}

enum swap_kind swap_between(const struct stamp_format *format, int64_t before_us, int64_t now_us,
                            int64_t meant_us[2])
{
    /* A count to the day was made of day and month; a name or a day of the year is no such number. */
    bool months = format->count == NULL || format->count->from == COUNT_FROM_LOCAL;
    for (size_t i = 0; i < format->n; i++)
        months = months && format->directive[i] != 'j' && format->directive[i] != 'b';
    if (!months || llabs(now_us - before_us) <= LEAP_DAYS * US_PER_DAY)
        return SWAP_NONE;
    int64_t other_before_us = before_us;
    int64_t other_now_us = now_us;
    bool first = exchange(format->zone, before_us, &other_before_us);
    bool second = exchange(format->zone, now_us, &other_now_us);
    enum swap_kind kind = first && second && follows(other_before_us, other_now_us) ? SWAP_BOTH
                          : first && follows(other_before_us, now_us)               ? SWAP_FIRST
                          : second && follows(before_us, other_now_us)              ? SWAP_SECOND
                                                                                    : SWAP_NONE;
    if (kind == SWAP_NONE)
        return kind;
    meant_us[0] = kind == SWAP_SECOND ? before_us : other_before_us;
    meant_us[1] = kind == SWAP_FIRST ? now_us : other_now_us;
    return kind;
}
