/* The difference of two collectors read from pairs of windows (study/pairs.h).
 *
 * Each pair gives one difference: both efficiencies are brought to the condition between them along
 * their own fitted curves, and subtracted. Through these differences a curve of its own is laid.
 * What both windows share - the very readings of one column, a session's error of one instrument,
 * sun, sky and wind of the hour - never enters the difference, and the differences' own scatter
 * says how well they agree. Every error source is then moved by its standard uncertainty, and what
 * the difference's coefficients do is its share, as for a single curve (run/efficiency.h).
 *
 * The calibration of an instrument that was swapped (run/swaps.h) moves the differences one way
 * before and the other way after: it is a nuisance unknown of the fit (fit/nuisance.h), known
 * beforehand within its stated uncertainty, and mostly drops out.
 *
 * Source: JCGM 100:2008, 5.2 and H.2 (quantities observed together: docs/compare.md has the
 * formulas).
 */
#ifndef STUDY_PAIRED_H
#define STUDY_PAIRED_H

#include "base/faults.h"
#include "fit/sessions.h"
#include "fit/combine.h"
#include "run/efficiency.h"
#include "study/pairs.h"
#include "study/shared.h"

#include <stdbool.h>
#include <stddef.h>

/* A pair as used. */
struct paired_point {
    const struct pair *pair; /* borrowed */
    double of_a, of_b;       /* efficiencies, brought to pair->at */
    double residual;         /* of_a - of_b less the fitted difference and what was solved */
    double u;                /* of of_a - of_b, from what is each window's own */
};

/* The calibration of an instrument that was swapped, solved with the difference. */
struct paired_solved {
    const struct shared_row *row; /* borrowed */
    double value;                 /* in standard uncertainties of the row */
};

struct paired {
    const struct fit_form *form;
    struct paired_point *points; /* owned; n pairs that are alike, in the order of time */
    size_t n;
    double coef[EFFICIENCY_COEFS];
    double reading[EFFICIENCY_COV]; /* scale factor applied */
    double common[EFFICIENCY_COV];  /* everything else but the curvature left out */
    double scale_factor, scale_dof;
    double birge;                   /* NaN where no uncertainty of a reading is stated */
    double extra_days;              /* variance by which days differ beyond what is stated */
    struct paired_solved *solved;   /* owned; n_solved */
    double *solved_cov;             /* n_solved*n_solved, of solved less true; owned */
    size_t n_solved;
};

/* In:      pairs   taken, of a and b; must outlive it
 *          rows    n_rows: each calibration and session row of both tests once
 * Out:     paired  paired_free is due whatever comes back
 * Returns: false with a data fault (a point that cannot be formed under an error, a fit that fails) or
 *          when memory is short */
bool paired_fit(struct paired *paired, const struct tested *a, const struct tested *b,
                const struct pairs *pairs, const struct shared_row *rows, size_t n_rows,
                struct faults *faults);
void paired_free(struct paired *paired); /* safe twice, and on {0} */

/* a - b at a condition; wind as counted in the curves.
 * Out:     value; reading's variance with its degrees of freedom; the variance of all else */
void paired_look(const struct paired *paired, const struct fit_condition *at, double *value,
                 struct fit_part *reading, double *common);

#endif
