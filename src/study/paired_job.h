/* The job of reading a difference from pairs, on which its files work: what moves a pair
 * (study/paired_errors.h), what is solved beside it (study/paired_solved.h), and the fit itself
 * (paired.c), which calls both. Here is what the differences' map to the coefficients makes of a
 * shift; it holds once the fit has filled the map.
 */
#ifndef STUDY_PAIRED_JOB_H
#define STUDY_PAIRED_JOB_H

#include "study/paired.h"

struct paired_job {
    const struct tested *a, *b;
    const struct shared_row *rows;
    size_t n_rows;
    struct paired *out;
    size_t n, p;
    struct fit_condition *at; /* n: between both windows */
    int64_t *session;         /* n, equal ones next to each other */
    double *terms;            /* n*p */
    double *y;                /* n differences */
    double *own;              /* n variances of what is each window's own */
    bool equal;              /* no such variance is stated, or none is left: all are taken as one */
    double *bend_a, *bend_b; /* n*EFFICIENCY_COEFS: terms there less terms as measured */
    double *effect;          /* n_rows*n: shift of a pair for + one standard uncertainty of a row */
    double *solved_by;       /* n*n_solved: effect of the rows that are solved */
    double *map;     /* (p + n_solved)*n: coefficients, and what is solved, from differences */
    double *scratch; /* n */
    struct faults *faults;
};

/* Whether a row is new each day. */
bool paired_is_session(const struct shared_row *row);

/* Row j of the map times a shift of the differences.
 * In:      j      < p + n_solved
 *          shift  n values */
double paired_dot(const struct paired_job *job, size_t j, const double *shift);

/* Out: d  the coefficients' shift, p values, by a shift of the differences */
void paired_shift(const struct paired_job *job, const double *shift, double *d);

/* Adds to out->common what a shift of the differences does to the coefficients, squared. */
void paired_add(struct paired_job *job, const double *shift);

#endif
