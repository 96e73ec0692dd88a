/* What to measure next: the points there are (or a first plan), the answer asked for, and
 * everything that might be added, each tried by forming and fitting all points anew. Numbers only.
 *
 * Source: docs/methods.md, "What to measure next".
 */
#ifndef STUDY_PLAN_FIND_H
#define STUDY_PLAN_FIND_H

#include "base/faults.h"
#include "run/reduction.h"
#include "study/plan_ask.h"
#include "study/plan_errors.h"
#include "study/plan_typical.h"

#include <stdbool.h>
#include <stddef.h>

enum plan_kind {
    PLAN_INLET,  /* windows at one inlet temperature, on one day */
    PLAN_ANGLE,  /* windows off the normal, on one day */
    PLAN_AGAIN,  /* all temperatures once more, on as many further days */
    PLAN_CHECK,  /* a check of the instruments */
    PLAN_CURE,   /* what makes one error source smaller */
    PLAN_BETTER, /* a better instrument */
    PLAN_KINDS
};

/* Water that scalds within seconds from here on: our own figure, on the safe side. */
#define PLAN_HOT_degC 50.0
#define PLAN_HOT_K 25.0 /* above air that is not known */
extern const char plan_hot_words[], plan_turned_words[];

enum { PLAN_WHAT = 320, PLAN_BRIEF = 100, PLAN_LEVELS_MOST = 8, PLAN_REPEATS = 8 };

struct plan_candidate {
    enum plan_kind kind;
    char what[PLAN_WHAT];    /* "4 more windows with the water entering at 62 degC" */
    char brief[PLAN_BRIEF];  /* for a figure: "4 windows at 62 °C" */
    const char *caution;     /* what can hurt; "" if nothing that a test does not hold anyway */
    char assumed[PLAN_WHAT]; /* what is taken of it; "" if nothing */
    double inlet_degC;       /* NaN if none is proposed */
    double rise_K;           /* the same above the air; NaN */
    size_t windows;          /* more than there are */
    enum channel channel;    /* of the instrument; CH_COUNT if of none */
    struct plan_said then;
    double gain; /* share of the half-width that goes */
};

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

/* Tries every addition to the base (plan_candidates.c). */
bool plan_try_all(struct plan *plan, struct faults *faults);

/* What points would say under a registry.
 * In: row_u  as in struct plan_scene */
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
