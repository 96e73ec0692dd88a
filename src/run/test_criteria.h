/* The criteria of a whole test, judged on the points that are fitted.
 */
#ifndef RUN_TEST_CRITERIA_H
#define RUN_TEST_CRITERIA_H

#include "point/point.h"
#include "run/design.h"
#include "window/criteria.h"

#include <stddef.h>

enum criterion_state { CRITERION_MET, CRITERION_NOT_MET, CRITERION_NOT_JUDGED, CRITERION_OFF };
const char *criterion_word(enum criterion_state state); /* "not judged" */

struct criterion_verdict {
    enum criterion_state state;
    double found;    /* SI; NaN where it cannot be known. Given for criteria that are off, too */
    const char *why; /* it is not judged; "" otherwise */
};

/* Judges every criterion.
 * In:      design   the audit of the same points
 * Out:     verdict  CRITERION_COUNT of them
 *
 * temperatures       levels of the design, by its own width
 * points at each     in the last of the fullest levels, as many as there should be: a fifth
 *                    temperature with one point spoils nothing
 * near air           the level whose mean water temperature is nearest to the air's
 * reach, warmest     of the mean water temperature, over points
 * gap                largest step between neighbouring levels, of the whole reach
 * noon difference    largest over the levels; by apparent solar time at the longitude
 * flow               largest deviation of a point's mass flow from the mean of all, relative */
void test_criteria_judge(const struct criteria *criteria, const struct design *design,
                         const struct point *points, size_t n, struct criterion_verdict *verdict);

#endif
