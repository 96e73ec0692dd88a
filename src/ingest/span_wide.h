/* The parts of ingest/span.h that a processor with AVX2 does on four values at once; without it
 * they do nothing, and ingest/span.c does the rest. What they give is the same to the bit.
 */
#ifndef INGEST_SPAN_WIDE_H
#define INGEST_SPAN_WIDE_H

#include "ingest/span.h"

#include <stddef.h>

enum { SPAN_WIDE = 4 };

/* The least and most of the first values. Out: tally->least, tally->most. Returns: of how many */
size_t span_range_wide(const double *value, size_t n, struct span_tally *tally);

/* Adds the first of rows first to end - 1 of eight columns, each column in order.
 * In/Out:  sum  eight of them
 * Returns: the row that comes next */
size_t span_sum_wide(const double *const value[2 * SPAN_WIDE], size_t first, size_t end,
                     double *sum);

#endif
