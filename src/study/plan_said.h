/* What points say of the answer that is asked for, and how it is read off a curve.
 *
 * A half-width has four parts: readings and sessions grow less with more points; calibration, refit
 * by refit from the registry, does not; a bend that a straight line leaves out goes once it can be
 * told.
 *
 * Source: docs/methods.md, "What to measure next".
 */
#ifndef STUDY_PLAN_SAID_H
#define STUDY_PLAN_SAID_H

#include "domain/error_source.h"
#include "fit/modifier.h"
#include "point/means_list.h"
#include "point/point.h"
#include "run/efficiency.h"
#include "run/run_section.h"
#include "study/plan_wish.h"

#include <stdbool.h>
#include <stddef.h>

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
    double share_mean;            /* there: the diffuse share for which the curve holds */
    struct efficiency_held
        seen_ratios;                /* scatter of points off the normal; days stay with the curve */
    struct plan_top top[PLAN_TOPS]; /* calibration and session rows, largest first */
    size_t n_top;
};

/* Of what the answer is asked: points, measured or planned, under a registry of errors. */
struct plan_scene {
    const struct point_setup *setup;
    const struct error_registry *errors;
    const struct means_list *means;    /* of points that count */
    struct efficiency_request request; /* with `held` where some points are planned */
    const struct run_section *run; /* of PLAN_K: which points are off the normal, and the shape */
    const struct efficiency_held *held_ratios; /* of PLAN_K, with request.held */
    double *row_u; /* NULL, or one a row of `errors`: what it does to the answer; 0 for readings */
};

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
