/* The difference of two collectors whose instruments changed places (run/swaps.h), where their
 * windows make no pairs: both curves in one fit.
 *
 * The points of both tests are stacked, each with the terms of its own curve, and the calibrations
 * of the swapped instruments are nuisance unknowns of all of them (fit/nuisance.h): the points of
 * one curve before and after the swap say what the instruments differ by, and that goes into both.
 * Forms, weights, scatter and days are those of the two curves as each was fitted.
 */
#ifndef STUDY_STACKED_H
#define STUDY_STACKED_H

#include "base/faults.h"
#include "fit/combine.h"
#include "study/paired.h"
#include "study/shared.h"

#include <stdbool.h>
#include <stddef.h>

enum { STACKED_COEFS = 2 * EFFICIENCY_COEFS, STACKED_COV = STACKED_COEFS * STACKED_COEFS };

struct stacked {
    const struct tested *a, *b; /* borrowed */
    size_t p;                   /* coefficients of a, then of b */
    double coef[STACKED_COEFS];
    double reading_a[STACKED_COV],
        reading_b[STACKED_COV]; /* by readings of either, scale applied */
    double common[STACKED_COV];                            /* all else */
    struct paired_solved *solved;                          /* owned; n_solved */
    double *solved_cov;                                    /* of solved less true; owned */
    size_t n_solved;
};

/* Whether there is anything to solve: a swap that both tests state, and stated errors of readings.
 */
bool stacked_wanted(const struct tested *a, const struct tested *b, const struct shared_row *rows,
                    size_t n_rows);

/* Out:     stacked  stacked_free is due whatever comes back
 * Returns: false with a data fault or when memory is short */
bool stacked_fit(struct stacked *stacked, const struct tested *a, const struct tested *b,
                 const struct shared_row *rows, size_t n_rows, struct faults *faults);
void stacked_free(struct stacked *stacked); /* safe twice, and on {0} */

/* a - b at the terms of either curve.
 * Out: value; variance by readings of a and of b with their degrees of freedom; the variance of all
 * else */
void stacked_look(const struct stacked *stacked, const double *terms_a, const double *terms_b,
                  double *value, struct fit_part reading[2], double *common);

#endif
