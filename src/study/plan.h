/* A plan as a result document: what to measure or check next for one answer, what each addition
 * gives, and what the test can at best show. The writers know nothing of it.
 */
#ifndef STUDY_PLAN_H
#define STUDY_PLAN_H

#include "base/faults.h"
#include "result/document.h"
#include "run/reduction.h"

#include <stdbool.h>

struct plan_request {
    const char *answer; /* as in plan_wish_read; NULL: by default */
    bool before;        /* plan from the description alone, whatever was measured */
    bool asked;         /* because that was asked for; otherwise there are no readings */
};

/* Reads a test as far as it has got: a description alone, one whose files of readings are not there
 * yet (none of them), or one with its log or points. In:      reduction  initialised;
 * setup.planned_too is set here Out:     before     no readings were looked at: asked for, or there
 * are none Returns: false with input or machine faults */
bool plan_read(struct reduction *reduction, const char *path, bool ask_before, bool *before,
               struct faults *faults);

/* In:      reduction  read by plan_read
 *          request    with `before` as plan_read found it
 * Out:     doc        initialised by the caller, filled
 * Returns: false with a usage fault (an answer that is none), an input fault (no run asks for a
 * curve), a data fault (no plan gives the answer) or a machine fault */
bool plan_run(const struct reduction *reduction, const struct plan_request *request,
              struct document *doc, struct faults *faults);

#endif
