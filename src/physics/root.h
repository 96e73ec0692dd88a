/* A root of a continuous function between two ends at which its signs differ. Every balance of
 * this room comes down to one such root: brackets are physical bounds, so that a solve cannot run
 * away, and a solve that fails says so instead of giving its last guess.
 */
#ifndef PHYSICS_ROOT_H
#define PHYSICS_ROOT_H

#include <stdbool.h>

typedef double root_function(double x, void *state);

struct root {
    double x;        /* the last point tried */
    double residual; /* the function there */
    double low;      /* the ends as given */
    double high;
    int steps; /* function values used */
};

/* Enough for halving the widest bracket of a double down to its last digit; Brent's method needs
 * about ten. */
#define ROOT_STEPS 200

/* Finds x with f(x) = 0 as well as a double can say it.
 * In:      f, state   continuous from low to high
 *          low < high
 *          most_steps of function values, at least 2; ROOT_STEPS for the usual
 * Out:     root       always filled
 * Returns: false if the signs at the ends are equal, a value is not finite, or the steps ran out
 * Source:  R. P. Brent, Algorithms for Minimization without Derivatives (1973), ch. 4 (from
 *          memory) */
bool root_find(root_function *f, void *state, double low, double high, int most_steps,
               struct root *root);

#endif
