/* Stray: rows of a file whose stamps run ahead of the rows around them, as when a digit of a day or
 * an hour was damaged, told by the order in which the rows stand.
 *
 * Rows form tracks, each of rising stamps: a row that follows on the last one (1.5 steps at most)
 * goes on with its track, one that follows on the end of an older track returns to it, and any
 * other begins a track. With L the last row of a track, n rows that left it and R the row that
 * returns, those n rows are stray if they are not more than STRAY_ROWS_MAX, none comes within as
 * many rows after, and
 *
 *     they lead over R by more than 6 h, and R lies behind L by no more than the n rows and a gap:
 *       no row comes 6 h late by radio. Strays that lead by the same may come again and again, if
 *       fewer than one in three rows of that time; or
 *     they lead by less, and R stands where n rows after L leave it, to half a step, and they
 *       have no place among the rows behind: another row stands within half a step of one of
 *       them, or none within 1.5 steps on one side or both. A row that really comes late leaves
 *       no such hole, and rows stand on both sides of its place; or
 *     R follows on no track (the strays stand at the file's beginning, or after a gap): then at
 *       most 30, with more rows behind them, if they have no place there or lead by 6 h.
 *
 * A last row alone, 6 h or more after the one before, is told too: it may be right, but nothing
 * bears it out. All figures are our own.
 *
 * Stamps alone are looked at, as read: not for clocks that count, are set or show an hour twice.
 * Memory does not grow with the file but for what is found, at most STRAY_FOUND_MAX rows.
 */
#ifndef INGEST_STRAY_H
#define INGEST_STRAY_H

#include "base/calendar.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Rows do not come later than this by radio. */
#define STRAY_LATE_US (6 * S_PER_H * US_PER_S)

enum { STRAY_ROWS_MAX = 200, STRAY_FOUND_MAX = 4096, STRAY_TRACKS = 32 };

struct stray_found {
    long line;
    int64_t time_us;
    bool first;      /* of the rows that left a track together */
    struct stray_by {
        int64_t us;
        long line;   /* 0: there is none */
    } before, after; /* the last row of the track, and the one that returned to it */
};

struct stray_track; /* ingest/stray.c */

struct stray {
    int64_t step_us;
    int64_t gap_us;
    uint64_t rows;
    struct stray_track *track; /* STRAY_TRACKS of them */
    size_t current;            /* the last row's */
    struct stray_found *found; /* after stray_end: by line */
    size_t n;
    size_t room;
    bool failed; /* no memory */
};

/* In:      step_us  between rows; 0: nothing is found
 *          gap_us   a longer step is a gap
 * Returns: false without memory; stray_free may follow either way */
bool stray_init(struct stray *stray, int64_t step_us, int64_t gap_us);
void stray_free(struct stray *stray); /* safe twice, and on {0} */

/* The next row of the file. */
void stray_row(struct stray *stray, int64_t time_us, long line);

/* After the last row. Returns: false without memory. */
bool stray_end(struct stray *stray);

#endif
