/* Clock: which columns of a sample hold the time, and in which form it is written.
 *
 * ISO 8601 in one column or in two, or day, month and year with '/', '.' or '-' and a time of 24 or
 * 12 hours. A form is right when it reads the rows, by ingest/stamp.h itself. Between day first and
 * month first only a number above 12 decides; if there is none, both are handed on.
 */
#ifndef DRAFT_CLOCK_H
#define DRAFT_CLOCK_H

#include "draft/sample.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { CLOCK_FORMAT_SIZE = 40 };

struct clock {
    bool found;
    size_t column[2];
    size_t n_columns;               /* 1, or 2 joined by a blank */
    char format[CLOCK_FORMAT_SIZE]; /* as in a description */
    char other[CLOCK_FORMAT_SIZE];  /* day and month swapped, if that reads as well; else "" */
    bool in_stamp;                  /* the stamps carry their zone */
    size_t n_stamps;                /* rows in which there is a stamp */
    size_t n_read;                  /* of these, how many the format reads */
    int64_t first_us; /* first stamp that was read; as if the clock were UTC unless in_stamp */
    int64_t step_us;  /* between rows of the first log: median, 0 with fewer than two */
    int64_t least_step_us;
    int64_t most_step_us;
    size_t n_back; /* steps of the first log that do not go forward */

    /* When not found: a column that counts time in a way that is not read; n columns if none. */
    size_t counter;
    const char *counter_is; /* "seconds since 1970" */
};

/* Returns: false with a machine fault. */
bool clock_find(const struct sample *sample, struct clock *clock, struct faults *faults);

/* Whether a column is one of the clock's. */
bool clock_uses(const struct clock *clock, size_t column);

#endif
