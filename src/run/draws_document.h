/* The Monte Carlo beside the linear result: a table, and a sentence on which of both counts. */
#ifndef RUN_DRAWS_DOCUMENT_H
#define RUN_DRAWS_DOCUMENT_H

#include "result/document.h"
#include "run/draws.h"
#include "run/reduction.h"
#include "run/run_section.h"

/* What a run asks for. */
struct draws_request draws_asked(const struct reduction *reduction, const struct run_section *run);
bool draws_wanted(const struct run_section *run); /* false: 'draws = 0' */

/* In:      draws    NULL: not asked for
 *          id       of the run: the table is ID_draws
 *          points   that were fitted
 *          band     what is linear all the same: "The band of the curve"
 * Returns: false with a machine fault */
bool draws_tell(const struct draws *draws, const char *id, const struct run_section *run,
                size_t points, const char *band, struct document *doc, struct faults *faults);

#endif
