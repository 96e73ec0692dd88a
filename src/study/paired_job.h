/* The job of reading a difference from pairs, shared by its files: the fit itself (paired.c), what
 * moves a pair (paired_errors.c).
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
    bool equal; /* no such variance is stated, or none is left: all are taken as one */
    double *bend_a, *bend_b;  /* n*EFFICIENCY_COEFS: terms there less terms as measured */
    double *effect; /* n_rows*n: shift of a pair for + one standard uncertainty of a row */
    double *solved_by;        /* n*n_solved: effect of the rows that are solved */
    double *map; /* (p + n_solved)*n: coefficients, and what is solved, from differences */
    double *scratch;          /* n */
    struct faults *faults;
};

/* Each pair's own variance: readings of both windows, less what the same readings put into both.
 * Returns: false with a fault */
bool paired_own(struct paired_job *job);

/* Shifts of every pair by every calibration and session row. Returns: false with a fault */
bool paired_effects(struct paired_job *job);

/* Wind and sky that differed from pair to pair and are in no term: variance of the coefficients
 * added to out->common. */
void paired_surroundings(struct paired_job *job);

/* Adds to out->common what a shift of the differences does to the coefficients, squared. */
void paired_add(struct paired_job *job, const double *shift);

/* Row j of the map times a shift of the differences. */
double paired_dot(const struct paired_job *job, size_t j, const double *shift);

/* Whether a row is new each day. */
bool paired_is_session(const struct shared_row *row);

/* The calibrations of swapped instruments: how many there are; which are solved, with their effects
 * (none without weights: nothing says how far they may be); how well they are known in the end,
 * into out->solved_cov. (paired_solved.c) */
size_t paired_count_solved(const struct paired_job *job);
void paired_choose_solved(struct paired_job *job);
void paired_add_solved(struct paired_job *job);

/* The coefficients' shift d, p values, by a shift of the differences. */
void paired_shift(const struct paired_job *job, const double *shift, double *d);

#endif
