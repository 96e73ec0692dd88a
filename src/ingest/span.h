/* Spans: what many good readings of a block add up to, for several channels at once.
 *
 * Each addition waits for the one before it, so eight or twelve channels side by side cost little
 * more than one. Readings are added in time order, one by one: how a log is cut into spans does not
 * change a bit.
 */
#ifndef INGEST_SPAN_H
#define INGEST_SPAN_H

#include "ingest/block.h"

#include <stdbool.h>
#include <stddef.h>

/* Values of several channels of a block, filled up to groups that are added up at once. */
enum { SPAN_COLUMNS_MOST = CH_COUNT + 8 };
struct span_columns {
    const double *value[SPAN_COLUMNS_MOST];
    size_t lanes;
};

struct span_tally {
    double sum;
    double least; /* INFINITY before the first reading */
    double most;  /* -INFINITY */
};

/* Whether rows first to end - 1 are good in all of the n channels (which are present). */
bool span_good(const struct block *block, const enum channel *list, size_t n, size_t first,
               size_t end);

/* Takes these rows, all good, into the tally of each channel.
 * In/Out:  tally   n of them, in the order of the list */
void span_tally(const struct block *block, const enum channel *list, size_t n, size_t first,
                size_t end, struct span_tally *tally);

/* In: list   n channels, which are present */
void span_columns_of(const struct block *block, const enum channel *list, size_t n,
                     struct span_columns *columns);

/* The sums alone.
 * In/Out:  sum   columns->lanes of them, in the order of the list; of no meaning behind it */
void span_sum(const struct span_columns *columns, size_t first, size_t end, double *sum);

/* Smallest and largest of n values. In/Out: tally, but for its sum. */
void span_range(const double *value, size_t n, struct span_tally *tally);

/* The first row from `first` on whose time is not before `end_us`; block->n if there is none. */
size_t span_end(const struct block *block, size_t first, int64_t end_us);

#endif
