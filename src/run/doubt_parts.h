/* The doubts that look at the points together, a file each (efficiency_doubts.h asks them all).
 * Each returns false only when memory is short.
 */
#ifndef RUN_DOUBT_PARTS_H
#define RUN_DOUBT_PARTS_H

#include "run/efficiency_doubts.h"

/* Some points' flow or sunshine is a factor off the others', and their efficiency by as much: a
 * unit that changed. Out: *found   whether it said so */
bool doubt_factor(const struct doubted *of, bool *found, struct document *doc,
                  struct faults *faults);

/* More sunshine in most points than any clear sky gives. */
bool doubt_bright(const struct doubted *of, struct document *doc, struct faults *faults);

/* The points scatter far more than their stated errors explain. In: of->e  not NULL */
bool doubt_scatter(const struct doubted *of, struct document *doc, struct faults *faults);

#endif
