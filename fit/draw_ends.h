/* What draws of a number say: mean, standard deviation, the ends of the 95 % interval, and how far
 * the ends are still to be doubted because the draws are finite. */
#ifndef FIT_DRAW_ENDS_H
#define FIT_DRAW_ENDS_H

#include <stddef.h>

#include "fit/status.h"

struct fit_draw_ends {
    size_t n; /* finite draws */
    double mean, sd;
    double low, high; /* as many draws below as above: JCGM 101:2008, 7.7 (from memory) */
    double doubt;     /* twice the standard deviation of the mean end over the batches, the worse
                         of both: 7.9.4 */
};

/* In:      values   n draws; NaN is passed over
 *          batch    draws in a batch, >= 40; n is a multiple of it, and at least two batches
 *          scratch  n values, overwritten
 * Out:     out      filled with FIT_OK
 * Returns: FIT_OK, FIT_TOO_FEW (a batch with fewer than 40 finite draws), FIT_RANGE */
enum fit_status fit_draw_ends(const double *values, size_t n, size_t batch, double *scratch,
                              struct fit_draw_ends *out);

/* Half a unit of the first digit of u: 0.5 for 1.0 to 9.99, 0.05 for 0.1 to 0.999 (JCGM 101:2008,
 * 7.9.2, one significant digit). 0 for 0. */
double fit_draw_tolerance(double u);

#endif
