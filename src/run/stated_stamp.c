#include "run/stated_stamp.h"

#include "ingest/stamp.h"

#include <stdio.h>
#include <string.h>

enum { MENDED_SIZE = 80 };

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

static bool has_form(const char *stamp)
{
    struct stamp_time time;
    return read_either(stamp, NULL, &time) != STAMP_FORM;
}

/* A stamp with a number of one digit among its month to seconds.
 * Out: mended   with two. Returns: what is short; NULL where that would not mend it. */
static const char *short_part(const char *stamp, char mended[MENDED_SIZE])
{
    static const char *const names[] = {"year", "month", "day", "hour", "minute", "second"};
    enum { PARTS = sizeof names / sizeof names[0] };
    const char *found = NULL;
    size_t length = 0;
    size_t part = 0;
    for (const char *at = stamp; *at != '\0' && length + 2 < MENDED_SIZE;) {
        size_t n = strspn(at, "0123456789");
        if (n == 1 && part > 0 && part < PARTS) {
            found = found == NULL ? names[part] : found;
            mended[length++] = '0';
        }
        part += n > 0;
        mended[length++] = *at++;
        for (; n > 1 && length + 2 < MENDED_SIZE; n--)
            mended[length++] = *at++;
    }
    mended[length] = '\0';
    return found != NULL && has_form(mended) ? found : NULL;
}

/* Not of the form: what keeps it from it. Returns: whether what was expected is said too. */
static bool say_form(const char *stamp, struct fault *fault)
{
    char mended[MENDED_SIZE], timed[MENDED_SIZE + 8], dated[MENDED_SIZE + 16];
    const char *part = short_part(stamp, mended);
    if (part != NULL) {
        fault_found(fault, "'%s' has one digit for the %s", stamp, part);
        fault_expected(fault, "two digits: '%s'", mended);
        return true;
    }
    snprintf(timed, sizeof timed, "%s 00:00", mended);
    snprintf(dated, sizeof dated, "2026-01-01 %s", stamp);
    if (has_form(timed))
        fault_found(fault, "'%s' is a day without a time", stamp);
    else if (has_form(dated))
        fault_found(fault, "'%s' is a time without a day", stamp);
    else
        fault_found(fault, "'%s' is not written as year-month-day hour:minute", stamp);
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
    if (status == STAMP_FORM && say_form(stamp, fault))
        return false;
    if (status != STAMP_FORM)
        fault_found(fault, "'%s' %s", stamp, stamp_status_words(status));
    fault_expected(fault, zone == NULL ? "date, time and zone: '2026-06-16 10:00:00+01:00'"
                                       : "date and time as the log's clock shows it, "
                                         "'2026-06-16 10:00:00', or with its zone behind it, "
                                         "'2026-06-16 10:00:00+01:00'");
    return false;
}
