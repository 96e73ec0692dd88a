/* What points would say of one answer: the very fit of an efficiency run, with the points that are
 * only planned among those that were measured. Nothing else decides what a suggestion is worth.
 *
 * A half-width has four parts: readings and sessions grow less with more points; calibration, refit
 * by refit from the registry, does not; a bend that a straight line leaves out goes once it can be
 * told.
 *
 * Source: docs/methods.md, "What to measure next".
 */
#ifndef STUDY_PLAN_ASK_H
#define STUDY_PLAN_ASK_H

#include "base/faults.h"
#include "domain/error_source.h"
#include "point/means_list.h"
#include "point/point.h"
#include "fit/modifier.h"
#include "run/efficiency.h"
#include "run/run_section.h"

#include <stdbool.h>
#include <stddef.h>

/* The answer that is asked for. */
enum plan_about {
    PLAN_CURVE, /* efficiency at one temperature above the air */
    PLAN_ETA0,
    PLAN_A1,
    PLAN_K /* modifier of the beam 50 degrees off the normal */
};
#define PLAN_K_RAD (50 * 0.017453292519943295)

struct plan_wish {
    enum plan_about about;
    double rise_K; /* of PLAN_CURVE: fluid (on the run's basis) above the air */
    double g_W_m2; /* sunshine at which the curve is read */
};

/* Reads "eta0", "a1", "K50", "30 K" (above the air, 0 to 150) or "0.03" (T*, 0 to 0.2 m2 K/W).
 * In:      text    NULL: 30 K above the air
 *          g_W_m2  sunshine of the run's curve, > 0
 * Returns: false with a usage fault */
bool plan_wish_read(struct plan_wish *wish, const char *text, double g_W_m2, struct faults *faults);

enum { PLAN_TOPS = 3 };

/* An error source by what it does to the answer. */
struct plan_top {
    char id[ERROR_ID_SIZE];
    char label[ERROR_LABEL_SIZE];
    char cure[ERROR_LABEL_SIZE];
    enum error_kind kind;
    double u; /* of the answer, >= 0 */
};

struct plan_said {
    bool given;        /* the points hold the answer */
    char why_not[400]; /* else: what they lack */
    size_t n;          /* points */
    const struct fit_form *form;
    double coef[EFFICIENCY_COEFS];
    double draw_wind; /* at which the curve is read, less its origin */
    double value, u, dof;
    double half;                                /* of the 95 % interval */
    double reading, session, calibration, left; /* variances; left: what the form leaves out */
    double own; /* of calibration: what another collector on the same instruments does not share */
    struct efficiency_held seen;  /* scatter, as found or as held */
    bool equal_weights;           /* no reading error was stated */
    struct fit_modifier modifier; /* of PLAN_K, and where it was fitted together with the curve */
    double share_mean; /* there: the diffuse share for which the curve holds */
    struct efficiency_held
        seen_ratios;                /* scatter of points off the normal; days stay with the curve */
    struct plan_top top[PLAN_TOPS]; /* calibration and session rows, largest first */
    size_t n_top;
};

struct plan_scene {
    const struct point_setup *setup;
    const struct error_registry *errors;
    const struct means_list *means;    /* of points that count */
    struct efficiency_request request; /* with `held` where some points are planned */
    const struct run_section *run; /* of PLAN_K: which points are off the normal, and the shape */
    const struct efficiency_held *held_ratios; /* of PLAN_K, with request.held */
    double *row_u; /* NULL, or one a row of `errors`: what it does to the answer; 0 for readings */
};

/* Forms the points, fits, and reads off the answer.
 * Out:     said  not given, with the reason, where the points do not hold the answer
 * Returns: false with a machine fault alone */
bool plan_ask(const struct plan_scene *scene, const struct plan_wish *wish, struct plan_said *said,
              struct faults *faults);

/* Reads the answer of a curve off, with its parts; and what it says beside that: form, scatter. */
void plan_take(const struct plan_scene *scene, const struct efficiency *e,
               const struct plan_wish *wish, struct plan_said *said);
void plan_take_curve(const struct efficiency *e, struct plan_said *said);

/* Keeps what a source does to the answer: among the largest, and in the scene's row_u. */
void plan_note(const struct plan_scene *scene, struct plan_said *said,
               const struct error_source *row, double u);

/* Smallest difference of two equal tests that four of five such pairs would tell.
 * In: shared  one after the other on the same instruments, whose errors move both alike; the
 * collectors' own (area, heat capacity, mounting, pipes), the weather and what a form leaves out
 * stay */
double plan_least_difference(const struct plan_said *said, bool shared);

#endif
