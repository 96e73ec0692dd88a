/* What the parts of a joint run's document share. */
#ifndef RUN_JOINT_VIEW_H
#define RUN_JOINT_VIEW_H

#include "run/efficiency_view.h"
#include "run/joint.h"
#include "run/modifier_view.h"

struct joint_view {
    struct efficiency_view curve;
    struct modifier_view modifier;
    const struct joint *joint;
    size_t beyond, without; /* points past MODIFIER_MOST_RAD, of unknown angle: left aside */
};

/* The run `kind = modifier` with `curve = together`. */
bool run_joint(const struct reduction *reduction, const struct run_section *run,
               struct document *doc, struct faults *faults);

/* Numbers, sentences, tables and figures. Returns: false with a machine fault. */
bool joint_tell(const struct joint_view *view, struct document *doc, struct faults *faults);

/* What gives how much to the efficiency at one T* and angle, and to K there. (joint_budget.c) */
bool joint_budget(const struct joint_view *view, struct document *doc, struct faults *faults);

/* Where the fit is refused: what the points say all the same, taken as they are.
 * In:      points, n  those of the run; spread  how they lie */
bool joint_tell_rest(const struct joint_view *view, const struct joint_spread *spread,
                     struct document *doc, struct faults *faults);

#endif
