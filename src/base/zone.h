/* Zones: how far a clock is from UTC, and what instant a clock's reading stands for.
 *
 * A zone is a fixed offset, or a name of the time-zone database (TZ database) with all its changes.
 * A clock that is put forward skips readings; one that is put back shows some twice. Both are told,
 * never guessed. The C library's own calls are not used: they take the zone from the environment,
 * for the whole process, turn a misspelt name into UTC and a skipped reading into another without a
 * word.
 *
 * A struct zone is fixed UTC after zone_fixed(zone, 0) or = {0}. Where a function takes a const
 * struct zone *, NULL is UTC.
 */
#ifndef BASE_ZONE_H
#define BASE_ZONE_H

#include "base/faults.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum {
    ZONE_NAME_SIZE = 64,
    ZONE_MOST_S = 18 * 3600, /* no clock is further from UTC */
    ZONE_LAST_YEAR = 2199    /* a rule is followed so far; then its last offset stays */
};

struct zone_change {
    int64_t at_s;     /* s of UTC since 1970-01-01: the first second of the new offset */
    int64_t offset_s; /* from then on: local = UTC + offset */
};

struct zone {
    char name[ZONE_NAME_SIZE]; /* "" for a fixed offset */
    char database[16];         /* its edition, like "2025b"; "" if that is not told */
    int64_t offset_s;          /* before the first change; for a fixed offset, always */
    struct zone_change *changes; /* owned; rising, each with another offset than the one before */
    size_t n;
};

void zone_fixed(struct zone *zone, int64_t offset_s); /* owns nothing */
void zone_free(struct zone *zone);                    /* safe twice; UTC afterwards */

/* Reads a name of the database.
 * In:      folder   where its files are; NULL: where systems keep them (never by the environment)
 *          name     letter for letter, like "EST5EDT"
 *          at       where the description says so, for the fault
 * Returns: false with an input fault (not in the database: the nearest name is told; a name whose
 *          sign misleads; the machine's own zone; a damaged file) or a machine fault (no database).
 *          The zone is then UTC.
 * Source:  RFC 9636 for the files; POSIX.1-2017, 8.3, for the rule behind the last change */
bool zone_read(struct zone *zone, const char *folder, const char *name, struct place at,
               struct faults *faults);

/* Local minus UTC at an instant, s. */
int64_t zone_offset_s(const struct zone *zone, int64_t time_us);

/* calendar_iso and calendar_plain (base/calendar.h) by a zone's clock; size as there.
 * Return: out. */
const char *zone_iso(const struct zone *zone, int64_t time_us, char *out, size_t size);
const char *zone_plain(const struct zone *zone, int64_t time_us, char *out, size_t size);

/* Local day of an instant, days since 1970-01-01. */
int64_t zone_day(const struct zone *zone, int64_t time_us);

enum zone_local {
    ZONE_ONCE,
    ZONE_TWICE, /* the clock was put back over it */
    ZONE_NEVER  /* the clock was put forward over it */
};

/* The instant at which the clock shows `local_us` (us since 1970-01-01 00:00 by the clock).
 * Out: time_us    the first such instant; ZONE_NEVER: that of the change
 *      again_us   the last one, = time_us unless ZONE_TWICE */
enum zone_local zone_instant(const struct zone *zone, int64_t local_us, int64_t *time_us,
                             int64_t *again_us);

/* The instant at which a local day (days since 1970-01-01) begins. */
int64_t zone_day_us(const struct zone *zone, int64_t day);

/* The first change in (from_us, to_us]; NULL if there is none. */
const struct zone_change *zone_change_within(const struct zone *zone, int64_t from_us,
                                             int64_t to_us);

/* For the readers of the database. */

/* Appends a change, or drops it where it changes nothing; at the same instant the later one counts.
 * Returns: false if it is before the last one, or (`memory` set) out of memory. */
bool zone_add(struct zone *zone, int64_t at_s, int64_t offset_s, bool *memory);

/* Appends the changes of a rule like "CET-1CEST,M3.5.0,M10.5.0/3", from the last change on.
 * Returns: false if it is none, or (`memory` set) out of memory. */
bool zone_follow_rule(struct zone *zone, const char *rule, bool *memory);

/* The nearest name of the database. out: ZONE_NAME_SIZE. Returns: NULL if none is near. */
const char *zone_nearest(const char *folder, const char *name, char *out);

#endif
