/* A plan in the making, and trials of it: lists of measured and planned windows, and what they
 * would say of the answer under this or that registry of errors.
 *
 * Source: docs/methods.md, "What to measure next".
 */
#ifndef STUDY_PLAN_TRIAL_H
#define STUDY_PLAN_TRIAL_H

#include "base/faults.h"
#include "run/reduction.h"
#include "study/plan_said.h"
#include "study/plan_typical.h"

#include <stdbool.h>
#include <stddef.h>

enum { PLAN_LEVELS_MOST = 8, PLAN_REPEATS = 8 };

struct plan_candidate; /* study/plan_candidates.h */

/* Half-width with everything repeated 0 to PLAN_REPEATS times, each time on new days; of very many
 * windows fewer times. */
struct plan_step {
    size_t windows;
    double half;
};

struct plan {
    const struct reduction *reduction; /* borrowed */
    const struct run_section *run;
    struct point_setup setup;
    struct efficiency_request request;
    struct plan_wish wish;
    struct plan_typical typical;
    struct means_list measured; /* points that count; empty before the first day */
    struct means_list base;     /* these, and a first plan where they do not give the answer */
    bool first;                 /* there is a first plan */
    bool first_angle;           /* with windows 50 degrees off the normal */
    bool joint;                 /* curve and modifier are fitted together */
    double near_rad;            /* there: as near to the normal as points came */
    bool curve_known;           /* of a modifier that is not: the curve beneath is */
    bool calm;                  /* planned without the wind's term that the run asks for */
    bool one_day;               /* its temperatures share a day */
    bool dropped;               /* measured points that could not be counted */
    size_t first_levels, each;
    double first_rise_K[PLAN_LEVELS_MOST];
    double top_rise_K;            /* warmest inlet that is proposed, above the air */
    struct plan_said now;         /* of the measured points alone */
    struct plan_said with;        /* of the base: what additions are held against */
    double *row_u;                /* of each error source in it; owned */
    struct plan_said limit;       /* the base's temperatures measured without end */
    struct plan_candidate *items; /* best first */
    size_t n, capacity;
    struct plan_step steps[PLAN_REPEATS + 1];
    size_t n_steps;
};

/* The scene of an answer asked of points under a registry; nothing of the scatter held. */
struct plan_scene plan_scene_of(const struct plan *plan, const struct means_list *means,
                                const struct error_registry *errors);

/* How many windows of a list are off the normal. */
size_t plan_count_oblique(const struct plan *plan, const struct means_list *list);

/* What points would say under a registry. The scatter is held as it was seen; planned windows only
 * make it better known.
 * In:      row_u  as in struct plan_scene
 * Returns: false with a machine fault */
bool plan_try(const struct plan *plan, const struct means_list *means,
              const struct error_registry *errors, double *row_u, struct plan_said *said,
              struct faults *faults);

/* Adds `each` windows of one day. Returns: false when memory is short; *can: whether such a window
 * can be */
bool plan_add_level(const struct plan *plan, double rise_K, int64_t session,
                    struct means_list *list, bool *can, struct faults *faults);
/* The same off the normal, of a plan for the modifier. */
bool plan_add_angle(const struct plan *plan, double theta_rad, double rise_K, int64_t session,
                    struct means_list *list, bool *can, struct faults *faults);
/* Adds the base once more, its days as days of their own. */
bool plan_add_again(const struct plan *plan, size_t time, struct means_list *list,
                    struct faults *faults);
bool plan_copy(const struct means_list *from, struct means_list *to, struct faults *faults);

#endif
