/* Clock: which columns of a sample hold the time, in which form it is written, and how it runs.
 *
 * ISO 8601 in one column or in two, year, day, hour and the like in columns of their own, a count
 * (seconds since 1970, days of a spreadsheet, milliseconds since the logger was switched on), or
 * day, month and year with '/', '.' or '-' and a time of 24 or 12 hours. A form is right when it
 * reads the rows, by ingest/stamp.h itself. Between
 * day first and month first a number above 12 decides, or else that the rows jump by months when
 * they are read one way and run on when they are read the other; so does a jump by years between a
 * year of two digits in front and one at the end. If neither tells, all are handed on.
 */
#ifndef DRAFT_CLOCK_H
#define DRAFT_CLOCK_H

#include "draft/sample.h"
#include "ingest/log_plan.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { CLOCK_FORMAT_SIZE = 64 };

/* How the rows follow each other, in each stretch of rows that stand one below the other. */
struct clock_run {
    size_t rows_per_stamp; /* rows that share a stamp, always as many; else 1 */
    int64_t step_us;       /* median of the steps; 0 with fewer than two rows */
    int64_t least_us;
    int64_t most_us;
    size_t n_steps;
    size_t n_even;   /* steps within a tenth of the median */
    size_t n_gaps;   /* steps of more than three times the median */
    size_t gap_row;  /* row before the longest of them */
    size_t n_back;   /* steps that do not go forward, falls of an hour left out */
    size_t back_row; /* row of the first */
    size_t n_falls;  /* falls by an hour, as of a clock that is put back in autumn */
    size_t fall_row; /* row of the first */
    int64_t fall_us; /* time before it */
    size_t n_leaps;  /* steps of a day or more, falls included: few when day and month are right */
};

/* What a count of the clock begins with; stamps of day and hour are none. */
enum clock_counts { CLOCK_STAMPS, CLOCK_COUNT_UTC, CLOCK_COUNT_LOCAL, CLOCK_COUNT_START };

struct clock {
    bool found;
    bool yearless; /* not found, and column[0] holds days without a year */
    enum clock_counts counts;
    size_t column[TIME_COLUMNS_MAX];
    size_t n_columns;               /* joined by blanks */
    char format[CLOCK_FORMAT_SIZE]; /* as in a description */
    char other[CLOCK_FORMAT_SIZE];  /* day and month swapped, if that reads as well; else "" */
    char year_first[CLOCK_FORMAT_SIZE]; /* so with the year of two digits in front */
    bool asked;          /* which of these it is only a person can say; else `format` is usual */
    const char
        *settled;     /* why day and month are as `format` has them; NULL where nothing was open */
    bool in_stamp;    /* the stamps carry their zone */
    bool zone_beside; /* in the last of the columns */
    const char *tail; /* for clock_apart.c: left out at the end of the first column's cells, and */
    const char *lead; /* at the beginning of the second's; NULL: nothing */
    size_t n_stamps;  /* rows in which there is a stamp */
    size_t n_read;    /* of these, how many the format reads */
    int64_t first_us; /* first stamp that was read; as if the clock were UTC unless in_stamp */
    int64_t last_us;
    struct clock_run run;
    int64_t *time_us; /* by row of the sample; CLOCK_NONE where no stamp was read */
};

#define CLOCK_NONE INT64_MIN

/* A spreadsheet that counts from 1904 means a day so much later by the same number. */
#define CLOCK_FROM_1904_US (INT64_C(1462) * 86400 * 1000000)

/* Returns: false with a machine fault; clock_free is due either way. */
bool clock_find(const struct sample *sample, struct clock *clock, struct faults *faults);
void clock_free(struct clock *clock); /* safe twice */

/* For clock.c: a column that counts (draft/clock_count.c). Out: found, format, counts, column,
 * n_stamps, n_read, time_us. Returns: false with a machine fault. */
bool clock_count_find(const struct sample *sample, struct clock *clock, struct faults *faults);

/* Whether a column is one of the clock's. */
static inline bool clock_uses(const struct clock *clock, size_t column)
{
    for (size_t i = 0; clock->found && i < clock->n_columns; i++)
        if (clock->column[i] == column)
            return true;
    return false;
}

/* How rows with these times follow each other (draft/clock_run.c).
 * Returns: false when out of memory. */
bool clock_run_look(const struct sample *sample, const int64_t *time_us, struct clock_run *run);

#endif
