/* The difference of two tested collectors, with what both tests' errors have in common.
 *
 * An error that both tests share moves both curves, and only the difference of its shifts counts. A
 * row of the registry is shared when it is of the same slot and
 *   - of one instrument: the same `id` in both descriptions, or one column of one file,
 *   - of the water's own properties,
 *   - of a wind or sky that was over both at once (a share of a day in common); what a black plate
 *     and a selective one make of it still differs, and that difference stays.
 * Equal names alone say nothing. Session errors are shared in the sessions that both have.
 *
 * Source: JCGM 100:2008, 5.2 (correlated inputs), row by row as in run/efficiency.h.
 */
#ifndef STUDY_DIFFERENCE_H
#define STUDY_DIFFERENCE_H

#include "base/faults.h"
#include "study/tested.h"

#include <stdbool.h>
#include <stddef.h>

/* Why a row is shared. */
enum shared_by { SHARED_NOT, SHARED_ID, SHARED_COLUMN, SHARED_WATER, SHARED_SURROUNDINGS };

struct shared_row {
    const struct error_source *a, *b; /* borrowed; both, or one and NULL */
    enum shared_by by;
};

struct difference {
    const struct tested *a, *b; /* borrowed */
    struct shared_row *rows;    /* every calibration and session row of both, shared ones once */
    size_t n_rows;
    double x_low, x_high;       /* range that both were tested over, m2 K/W; low > high: none */
};

/* Value and uncertainty of a - b at one condition. */
struct difference_at {
    double a, b;    /* efficiencies */
    double value;   /* a - b */
    double u;       /* of the difference */
    double dof;
    double half_95;
    double u_apart; /* as it would be if no error were shared */
    double least;   /* smallest difference that four of five such tests would have told */
    bool open;      /* an error of a stated curve counts here that is not stated: u is a lower bound */
};

/* What can be said of a difference. */
enum difference_verdict {
    DIFFERENCE_REAL, /* its 95 % interval does not hold zero */
    DIFFERENCE_UNTOLD,
    DIFFERENCE_OPEN  /* by what is stated it would be real, but not all errors are stated */
};
enum difference_verdict difference_verdict(const struct difference_at *at);

bool difference_init(struct difference *difference, const struct tested *a, const struct tested *b,
                     struct faults *faults);
void difference_free(struct difference *difference); /* safe twice */

/* In: x m2 K/W, g_W_m2; a curve with a wind term is looked at in its own draw_wind */
void difference_look(const struct difference *difference, double x, double g_W_m2,
                     struct difference_at *at);

/* "the same serial or certificate" */
const char *shared_by_words(enum shared_by by);

#endif
