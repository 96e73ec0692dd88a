/* The difference of two tested collectors, with what both tests' errors have in common.
 *
 * An error that both tests share (study/shared.h) moves both curves, and only the difference of its
 * shifts counts. Session errors are shared in the sessions that both have. Where enough windows of
 * both are of the same time (study/pairs.h) the difference is read from these pairs
 * (study/paired.h); otherwise it is that of the two curves, of curves in one fit where instruments
 * were swapped (study/stacked.h).
 *
 * Source: JCGM 100:2008, 5.2 (correlated inputs), row by row as in run/efficiency.h.
 */
#ifndef STUDY_DIFFERENCE_H
#define STUDY_DIFFERENCE_H

#include "base/faults.h"
#include "study/paired.h"
#include "study/pairs.h"
#include "study/shared.h"
#include "study/stacked.h"
#include "study/tested.h"

#include <stdbool.h>
#include <stddef.h>

struct difference {
    const struct tested *a, *b; /* borrowed */
    struct shared_row *rows;    /* every calibration and session row of both, shared ones once */
    size_t n_rows;
    double x_low, x_high;       /* range that both were tested over, m2 K/W; low > high: none */
    struct pairs pairs;         /* of windows at the same time */
    bool is_paired;             /* the difference is read from them: pairs.path */
    struct paired paired;       /* where it is */
    bool is_stacked; /* it is not, and instruments were swapped: both curves in one fit */
    struct stacked stacked;     /* where it is so */
};

/* What was solved of instruments that were swapped, whichever way. */
struct difference_solved {
    const struct paired_solved *items; /* borrowed; n */
    const double *cov;                 /* n*n, of solved less true */
    size_t n;
    double dof;                        /* of the readings behind it */
};
struct difference_solved difference_solved(const struct difference *difference);

/* Value and uncertainty of a - b at one condition. */
struct difference_at {
    double a, b;    /* efficiencies */
    double value; /* a - b; of pairs their own, which need not be the two above to the last digit */
    double u;       /* of the difference */
    double dof;
    double half_95;
    double u_apart; /* as it would be if no error were shared */
    double least;   /* smallest difference that four of five such tests would have told */
    bool open; /* an error of a stated curve counts here that is not stated: u is a lower bound */
};

/* What can be said of a difference. */
enum difference_verdict {
    DIFFERENCE_REAL, /* its 95 % interval does not hold zero */
    DIFFERENCE_UNTOLD,
    DIFFERENCE_OPEN  /* by what is stated it would be real, but not all errors are stated */
};
enum difference_verdict difference_verdict(const struct difference_at *at);

/* In: a, b fitted. Returns: false with an input fault (swapped_check), a data fault (a point of a
 * pair that cannot be formed under an error) or when memory is short */
bool difference_init(struct difference *difference, const struct tested *a, const struct tested *b,
                     struct faults *faults);
void difference_free(struct difference *difference); /* safe twice */

/* In: x m2 K/W, g_W_m2; a curve with a wind term is looked at in its own draw_wind */
void difference_look(const struct difference *difference, double x, double g_W_m2,
                     struct difference_at *at);

/* The same by the two curves, also where there are pairs: one less the other, their readings taken
 * as independent. */
void difference_look_curves(const struct difference *difference, double x, double g_W_m2,
                            struct difference_at *at);

#endif
