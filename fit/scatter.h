/* How far the points scatter about a curve when some of their errors are shared.
 *
 * Errors shared by some points (all of one day) move these together: residuals then scatter less than
 * the sum of variances says, and chi2 formed with that sum looks too good. Here the residuals have
 *   V(f) = f diag(v) + sum_k c_k c_k',
 * and two things are found: chi2 as stated (f = 1), that of generalised least squares about the curve
 * that minimises it; and f, by which readings scatter more or less than stated while the shared errors
 * are as stated.
 *
 * chi2 over its freedom is no measure of f: along the shared errors V(1) expects scatter already, so that
 * what the readings scatter more there counts for less. f is the one of greatest restricted likelihood,
 *   e' P D P e = tr(P D),  D = diag(v),  P = V^-1 - V^-1 X (X' V^-1 X)^-1 X' V^-1,
 * worth f^2 tr(P D P D) degrees of freedom (twice f^2 times its information): n - p without shared
 * errors, fewer where these leave little to tell it by.
 *
 * Where they leave little, its Student's t makes more of it than all the scatter there is. So the most
 * that readings can scatter stands beside it: all of it taken as theirs, e' D^-1 e / (n - p) about the
 * curve of weights 1/v. That is too large a factor on average, never too small, and it has n - p.
 *
 * Source: H. D. Patterson, R. Thompson, Biometrika 58 (1971) 545 (restricted likelihood; from memory);
 *         A. C. Aitken, Proc. R. Soc. Edinb. 55 (1935) 42 (generalised least squares; from memory).
 *         fit/scale.h says what is made of both; docs/coverage.md counts what comes of it.
 */
#ifndef FIT_SCATTER_H
#define FIT_SCATTER_H

#include <stddef.h>
#include <stdint.h>

#include "fit/form.h"
#include "fit/status.h"

struct fit_scatter {
    double chi2; /* >= 0, at f = 1; its expectation is n - n_coef if the stated errors are right */
    double factor; /* f; 0 where the shared errors account for all of the scatter; NaN where n is
                      n_coef, as is most */
    double freedom;      /* of it, at most n - n_coef; 0 with factor 0 and NaN */
    double most;         /* all scatter taken as the readings' */
    double most_freedom; /* n - n_coef */
};

/* In:      form, at      n conditions
 *          residual      n: measured minus curve, about any curve of the form
 *          variance      n: of the errors that each point has of its own, > 0
 *          group         n, any numbers, equal ones next to each other: the shared errors of a group
 *                        are the same for its points, those of another group are others
 *          shared        m*n row-major: shift of each residual for + one standard uncertainty of each
 *                        shared error of its group; may be NULL when m is 0
 *          n             >= form->n_coef
 * Out:     out           untouched unless FIT_OK
 * Returns: FIT_OK, FIT_NO_MEMORY, FIT_RANGE (a variance not > 0), FIT_NOT_FINITE, FIT_TOO_FEW, FIT_RANK
 * Memory:  n*n_coef, and the largest group times m: each group is turned until its errors are
 *          independent (Householder reflections, then the eigenvectors of the part that is shared) */
enum fit_status fit_scatter(const struct fit_form *form, const struct fit_condition *at,
                            const double *residual, const double *variance, const int64_t *group,
                            const double *shared, size_t m, size_t n, struct fit_scatter *out);

/* Adds what was taken out of the residuals beforehand, such as the step of a swapped instrument
 * that was fitted within its stated error: it was scatter too, and the freedom that it cost is not
 * counted.
 * In:      chi2   >= 0: of what was taken out, in its own standard uncertainty */
void fit_scatter_give_back(struct fit_scatter *seen, double chi2);

#endif
