#include "base/zone.h"

#include "base/calendar.h"

#include <stdlib.h>
#include <string.h>

void zone_fixed(struct zone *zone, int64_t offset_s)
{
    memset(zone, 0, sizeof *zone);
    zone->offset_s = offset_s;
}

void zone_free(struct zone *zone)
{
    free(zone->changes);
    zone_fixed(zone, 0);
}

static int64_t offset_before(const struct zone *zone, size_t change)
{
    return change == 0 ? zone->offset_s : zone->changes[change - 1].offset_s;
}

/* How many changes lie at or before an instant. */
static size_t changes_until(const struct zone *zone, int64_t time_us)
{
    size_t low = 0;
    size_t high = zone->n;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (zone->changes[middle].at_s * US_PER_S <= time_us)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

int64_t zone_offset_s(const struct zone *zone, int64_t time_us)
{
    return zone == NULL ? 0 : offset_before(zone, changes_until(zone, time_us));
}

const char *zone_iso(const struct zone *zone, int64_t time_us, char *out, size_t size)
{
    return calendar_iso(time_us, zone_offset_s(zone, time_us), out, size);
}

const char *zone_plain(const struct zone *zone, int64_t time_us, char *out, size_t size)
{
    return calendar_plain(time_us, zone_offset_s(zone, time_us), out, size);
}

int64_t zone_day(const struct zone *zone, int64_t time_us)
{
    return calendar_day(time_us, zone_offset_s(zone, time_us));
}

enum zone_local zone_instant(const struct zone *zone, int64_t local_us, int64_t *time_us,
                             int64_t *again_us)
{
    static const int64_t MOST_US = ZONE_MOST_S * US_PER_S;
    int found = 0;
    *time_us = local_us - (zone == NULL ? 0 : zone->offset_s * US_PER_S);
    *again_us = *time_us;
    if (zone == NULL || zone->n == 0)
        return ZONE_ONCE;
    size_t last = changes_until(zone, local_us + MOST_US);
    for (size_t i = changes_until(zone, local_us - MOST_US); i <= last; i++) {
        int64_t at = local_us - offset_before(zone, i) * US_PER_S;
        bool begun = i == 0 || at >= zone->changes[i - 1].at_s * US_PER_S;
        bool ended = i < zone->n && at >= zone->changes[i].at_s * US_PER_S;
        if (begun && !ended) {
            *time_us = found++ == 0 ? at : *time_us;
            *again_us = at;
        } else if (!begun && found == 0) { /* too late before it, too early after it */
            *time_us = *again_us = zone->changes[i - 1].at_s * US_PER_S;
            return ZONE_NEVER;
        }
    }
    return found > 1 ? ZONE_TWICE : ZONE_ONCE;
}

int64_t zone_day_us(const struct zone *zone, int64_t day)
{
    int64_t time_us;
    int64_t again_us;
    zone_instant(zone, day * S_PER_DAY * US_PER_S, &time_us, &again_us);
    return time_us;
}

const struct zone_change *zone_change_within(const struct zone *zone, int64_t from_us,
                                             int64_t to_us)
{
    if (zone == NULL)
        return NULL;
    size_t i = changes_until(zone, from_us);
    return i < zone->n && zone->changes[i].at_s * US_PER_S <= to_us ? &zone->changes[i] : NULL;
}

bool zone_add(struct zone *zone, int64_t at_s, int64_t offset_s, bool *memory)
{
    if (zone->n > 0 && at_s < zone->changes[zone->n - 1].at_s)
        return false;
    if (zone->n > 0 && at_s == zone->changes[zone->n - 1].at_s)
        zone->n--;
    if (offset_before(zone, zone->n) == offset_s)
        return true;
    if (zone->n % 64 == 0) {
        struct zone_change *grown =
            realloc(zone->changes, (zone->n + 64) * sizeof *zone->changes);
        *memory = grown == NULL;
        if (grown == NULL)
            return false;
        zone->changes = grown;
    }
    zone->changes[zone->n++] = (struct zone_change){at_s, offset_s};
    return true;
}
