/* What each unknown moves coefficients by: the budget of a fit whose covariance is a sum over them.
 * An error that is fresh each day has one part a day, all of one id: its signs within a day stay.
 */
#ifndef RUN_ERROR_PARTS_H
#define RUN_ERROR_PARTS_H

#include "base/faults.h"
#include "fit/linear.h"
#include "run/efficiency_rank.h"

#include <stdbool.h>
#include <stddef.h>

struct error_part {
    enum rank_kind kind;
    const char *id, *label, *cure; /* borrowed: static, or of the registry */
    double d[FIT_MAX_COEF];        /* shift of each coefficient for + one standard uncertainty */
};

struct error_parts {
    struct error_part *list; /* owned */
    size_t n, room;
};

/* A part of a registry's row, whatever its kind. */
struct error_part error_part_of(const struct error_source *row, const double *d, size_t n_coef);

/* Adds a copy. Returns: false with a machine fault */
bool error_parts_add(struct error_parts *parts, const struct error_part *part,
                     struct faults *faults);

void error_parts_free(struct error_parts *parts); /* safe twice */

/* Adds what each id gives to t . b; parts of one id as the root of the sum of squares, a single one
 * with its sign.
 * In:      t  n_coef terms
 * Out:     sources  room for parts->n more; not sorted
 * Returns: how many were added */
size_t error_parts_rank(const struct error_parts *parts, size_t n_coef, const double *t,
                        struct rank_source *sources);

#endif
