/* What gives how much to the uncertainty of a coefficient, or of the curve at one condition, and
 * the cheapest cure of each.
 */
#ifndef RUN_EFFICIENCY_RANK_H
#define RUN_EFFICIENCY_RANK_H

#include "run/efficiency.h"

/* As plots/figure.h numbers them. */
enum rank_kind { RANK_CALIBRATION, RANK_SESSION, RANK_READING, RANK_FORM };
const char *rank_kind_word(enum rank_kind kind); /* "calibration", ... "form" */

struct rank_source {
    enum rank_kind kind;
    const char *label, *id, *cure; /* borrowed from the efficiency and its registry */
    double u; /* what it gives, signed where the source has a sign */
};

/* Room that rank_sources needs. */
size_t rank_most(const struct efficiency *e);

/* Every source's part of t . b; b are the coefficients. A coefficient's own t is 1 in its place and
 * 0 elsewhere. Errors of each day are added day by day with their signs before they are squared.
 * The squares add up to t C t' with C = e->total.
 * In:      t  form->n_coef terms
 * Out:     sources  in an order that does not depend on t
 * Returns: how many */
size_t rank_sources(const struct efficiency *e, const double *t, struct rank_source *sources);

/* Largest first; ties keep no order. */
void rank_sort(struct rank_source *sources, size_t n);

#endif
