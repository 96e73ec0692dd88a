/* Day and month exchanged: what a spreadsheet makes of a log's dates that it reads in the other
 * order. It reaches only days up to 12; the others stay as they are, so that the log leaps by
 * months back and forth.
 */
#ifndef INGEST_SWAP_H
#define INGEST_SWAP_H

#include "ingest/stamp.h"

#include <stdbool.h>
#include <stdint.h>

enum swap_kind {
    SWAP_NONE,
    SWAP_FIRST, /* the first of two stamps exchanged, the second as it is */
    SWAP_SECOND,
    SWAP_BOTH /* as if the form had day and month the wrong way round */
};

/* What a leap between two rows could be.
 * In:      format     Unix time and counts since the start know no months: SWAP_NONE
 *          before_us, now_us   either may be the later
 * Out:     meant_us   both instants, exchanged where that is meant; untouched with SWAP_NONE
 * Returns: SWAP_NONE unless they lie more than 20 days apart, and so taken the second follows the
 *          first within 4 days (a long weekend). Our own limits. */
enum swap_kind swap_between(const struct stamp_format *format, int64_t before_us, int64_t now_us,
                            int64_t meant_us[2]);

#endif
