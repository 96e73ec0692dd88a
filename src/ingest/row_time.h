/* Row time: the text of a row's stamp, in one column or more -> its instant.
 *
 * Nearly every stamp differs from the one before it in the seconds alone: then only these are read.
 */
#ifndef INGEST_ROW_TIME_H
#define INGEST_ROW_TIME_H

#include "base/calendar.h"
#include "ingest/row.h"
#include "ingest/stamp.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Keeps the text of a stamp's field for row_time.
 * In:      part      column of the plan's time
 *          bytes, n  outer blanks cut; a text longer than any stamp is kept cut */
void row_stamp(struct rows *rows, size_t part, const char *bytes, size_t n);

/* Reads the kept stamp into time_us and again_us.
 * Returns: STAMP_GOOD, or why not; of STAMP_UNSET time_us is set all the same. */
enum stamp_status row_time(struct rows *rows);

/* Reads two digits of seconds that follow on the last minute. Returns: false if they are none. */
static inline bool row_seconds(struct rows *rows, const char *digits)
{
    unsigned tens = (unsigned)digits[0] - '0';
    if (tens > 5)
        return false; /* digits[1] may lie behind the buffer's end */
    unsigned ones = (unsigned)digits[1] - '0';
    if (ones > 9)
        return false;
    rows->time_us = rows->minute.start_us + (int64_t)(10 * tens + ones) * US_PER_S;
    rows->again_us = rows->time_us;
    return true;
}

#endif
