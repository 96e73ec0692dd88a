/* What to measure next: the points there are (or a first plan), the answer asked for, and
 * everything that might be added, each tried by forming and fitting all points anew. Numbers only.
 *
 * Source: docs/methods.md, "What to measure next".
 */
#ifndef STUDY_PLAN_FIND_H
#define STUDY_PLAN_FIND_H

#include "base/faults.h"
#include "study/plan_candidates.h"
#include "study/plan_trial.h"

#include <stdbool.h>

/* Tries everything.
 * In:      reduction  described, and read unless before
 *          run        the run of kind efficiency that asks
 *          before     no point counts
 * Out:     plan       plan_free is due whatever comes back
 * Returns: false with a data fault (not even a first plan gives the answer) or a machine fault */
bool plan_find(struct plan *plan, const struct reduction *reduction, const struct run_section *run,
               bool before, const struct plan_wish *wish, struct faults *faults);
void plan_free(struct plan *plan); /* safe twice, and on {0} */

/* Whether further points are of no use: the best of them takes less than a twentieth of the
 * half-width, and nine tenths of it would stay for ever. */
bool plan_points_end(const struct plan *plan);

/* The best addition of points; NULL if there is none. */
const struct plan_candidate *plan_best_points(const struct plan *plan);

#endif
