#include "run/stated_stamp.h"

#include "ingest/stamp.h"

#include <string.h>

/* Its own zone counts where it carries one. */
static enum stamp_status read_either(const char *stamp, const struct zone *zone,
                                     struct stamp_time *time)
{
    struct stamp_format format = {.iso = true, .decimal = '.', .zone_in_stamp = true};
    enum stamp_status status = stamp_read_time(&format, stamp, strlen(stamp), time);
    if (status != STAMP_NO_ZONE || zone == NULL)
        return status;
    format.zone_in_stamp = false;
    format.zone = zone;
    return stamp_read_time(&format, stamp, strlen(stamp), time);
}

bool stated_stamp_try(const char *text, const struct zone *zone, int64_t *time_us)
{
    struct stamp_time time;
    if (read_either(text, zone, &time) != STAMP_GOOD)
        return false;
    *time_us = time.time_us;
    return true;
}

static bool refuse_twice(const char *stamp, const struct zone *zone, const struct stamp_time *time,
                         struct place at, struct faults *faults)
{
    char first[40], again[40];
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    fault_found(fault, "'%s' is shown twice by the clock of '%s'", stamp, zone->name);
    fault_expected(fault, "'%s' or '%s'", zone_iso(zone, time->time_us, first, sizeof first),
                   zone_iso(zone, time->again_us, again, sizeof again));
    return false;
}

bool stated_stamp_read(const char *stamp, const struct zone *zone, struct place at,
                       int64_t *time_us, struct faults *faults)
{
    struct stamp_time time;
    enum stamp_status status = read_either(stamp, zone, &time);
    if (status == STAMP_GOOD && time.again_us != time.time_us)
        return refuse_twice(stamp, zone, &time, at, faults);
    if (status == STAMP_GOOD) {
        *time_us = time.time_us;
        return true;
    }
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    if (status == STAMP_NO_ZONE) {
        fault_found(fault, "'%s' does not say its zone", stamp);
        fault_expected(fault, "the zone behind the time: '%s+01:00', or Z for UTC", stamp);
        return false;
    }
    fault_found(fault, "'%s' %s", stamp, stamp_status_words(status));
    fault_expected(fault, zone == NULL ? "date, time and zone: '2026-06-16T10:00:00+01:00'"
                                       : "date and time as the log's clock shows it, "
                                         "'2026-06-16T10:00:00', or with its zone behind it, "
                                         "'2026-06-16T10:00:00+01:00'");
    return false;
}
