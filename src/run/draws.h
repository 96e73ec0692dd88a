/* A Monte Carlo of a few numbers: drawn in blocks by any number of threads until the ends of their 95 %
 * intervals stand still, and held against the intervals of linear propagation. What is drawn, and how
 * numbers come of it, is the maker's.
 *
 * Source: JCGM 101:2008: 7.9 (how many draws), 8 (comparing both), 6.4.9.2 (Student's t for errors
 *         found from few readings); clause numbers from memory.
 */
#ifndef RUN_DRAWS_H
#define RUN_DRAWS_H

#include "base/faults.h"
#include "base/progress.h"
#include "base/randoms.h"
#include "fit/linear.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum {
    DRAWS_BATCH = 2000, /* whole blocks of base/randoms.h */
    DRAWS_LEAST = 10,   /* batches */
    DRAWS_FEWEST = DRAWS_LEAST * DRAWS_BATCH,
    DRAWS_MOST = 1000000,
    DRAWS_USUAL = 200000,   /* no more than this unasked for */
    DRAWS_POINTS = 4000000, /* and no more points formed: about a second */
    DRAWS_THREADS = 16,
    DRAWS_PLACES = 3, /* reduced temperatures at which a curve is looked at */
    DRAWS_NUMBERS = FIT_MAX_COEF + DRAWS_PLACES + 4,
    DRAWS_WHAT = 72
};

struct draws_request {
    size_t draws; /* 0: as many as settle the ends, within DRAWS_POINTS */
    uint64_t seed;
    unsigned threads; /* >= 1; the result does not depend on it */
    const struct progress *progress; /* NULL: nobody wants to know */
};

/* One number, its 95 % interval both ways. */
struct draws_interval {
    char what[DRAWS_WHAT];   /* in the table: "eta0", "efficiency 30 K above the air" */
    char people[DRAWS_WHAT]; /* "η₀" */
    const char *unit;        /* static; ASCII */
    double value;
    double u_linear, low_linear, high_linear;
    double u, low, high;
    double tolerance; /* half a unit of the first digit of u: JCGM 101, 7.9.2 */
    double doubt;     /* twice the standard deviation of the worse end, from the batches */
    bool differs;     /* an end lies further from the linear one than tolerance and doubt */
};

struct draws {
    size_t n;       /* made; 0: left out, because there are too many points */
    size_t refused; /* of these: a point could not be formed or nothing be fitted */
    bool settled;   /* every doubt is within its tolerance */
    bool usable;    /* at most 1 in 1000 was refused */
    struct draws_interval of[DRAWS_NUMBERS];
    size_t n_of;
    size_t n_coef;          /* the first of them are a curve's coefficients */
    double x[DRAWS_PLACES]; /* where a curve is looked at, at g_W_m2 */
    double g_W_m2;
};

/* Who draws. A worker is used by one thread at a time; what it gives may depend on its randoms
 * alone. */
struct draws_maker {
    /* Returns: a worker; NULL with a machine fault */
    void *(*open)(const void *of, struct faults *faults);
    /* One draw. Out: numbers, as many as draws.n_of. Returns: false if it came to nothing */
    bool (*draw)(void *worker, struct randoms *randoms, double *numbers);
    void (*close)(void *worker);
    const void *of; /* borrowed */
    size_t points;  /* formed by one draw, or as many as take the same time */
};

/* Adds a number to be drawn.
 * In: half_95  of its linear interval. Returns: it, whose words are still to be written */
struct draws_interval *draws_add(struct draws *draws, double value, double u, double half_95);

/* Draws and judges.
 * In/out:  out     its numbers added by draws_add, the rest zero
 * Returns: false with a machine fault (out of memory) */
bool draws_make(const struct draws_maker *maker, const struct draws_request *request,
                struct draws *out, struct faults *faults);

/* The drawn interval where it counts instead of the linear one; NULL otherwise. draws may be NULL.
 */
const struct draws_interval *draws_preferred(const struct draws *draws, size_t number);

#endif
