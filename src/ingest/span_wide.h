/* The parts of ingest/span.h that a processor with AVX2 does on four values at once; without it
 * they do nothing, and ingest/span.c does the rest. What they give is the same to the bit.
 */
#ifndef INGEST_SPAN_WIDE_H
#define INGEST_SPAN_WIDE_H

#include "ingest/span.h"

#include <stddef.h>

enum { SPAN_WIDE = 4, SPAN_FOURS_MOST = 3 };

/* The least and most of the first values. Out: tally->least, tally->most. Returns: of how many */
size_t span_range_wide(const double *value, size_t n, struct span_tally *tally);

/* Adds the first of rows first to end - 1 of two or three times four columns, each in order.
 * In:      value   the columns
 *          fours   2 or 3
 * In/Out:  sum     one a column
 * Returns: the row that comes next */
size_t span_sum_wide(const double *const *value, size_t fours, size_t first, size_t end,
                     double *sum);

#endif
