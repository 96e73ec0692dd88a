/* What points would say of one answer: the very fit of an efficiency run, with the points that are
 * only planned among those that were measured. Nothing else decides what a suggestion is worth.
 *
 * Source: docs/methods.md, "What to measure next".
 */
#ifndef STUDY_PLAN_ASK_H
#define STUDY_PLAN_ASK_H

#include "base/faults.h"
#include "study/plan_said.h"

#include <stdbool.h>

/* Forms the points, fits, and reads off the answer.
 * Out:     said  not given, with the reason, where the points do not hold the answer
 * Returns: false with a machine fault alone */
bool plan_ask(const struct plan_scene *scene, const struct plan_wish *wish, struct plan_said *said,
              struct faults *faults);

#endif
