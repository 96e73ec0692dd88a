/* Noise of the mean of a series, told apart from its drift. Fed reading by reading, constant
 * memory; windows are pooled by fit_noise_merge() or by fit_noise_gap() between them.
 *
 * Estimator. For lags L = 1, 2, 4, 8, 16 the mean square of the second difference
 *     d_L = x[i] - 2 x[i+L] + x[i+2L]
 * is gathered. A constant and a straight drift drop out exactly; a sine of period T readings
 * leaves only about (2 pi L / T)^4 of its variance. For noise of autocorrelation rho_k,
 *     E d_L^2 = s2 (6 - 8 rho_L + 2 rho_2L),
 * so the smallest lag alone would make correlated noise look too small (phi = 0.8: its variance
 * by a factor of 7, that of a mean by about 60); the larger lags show the plateau. Noise is
 * modelled as rho_k = phi^k, 0 <= phi < 1, giving E d_L^2 = 2 s2 (1 - phi^L)(3 - phi^L); s2 and
 * phi maximise the likelihood in which each mean square has a gamma distribution with freedom in
 * proportion to its count. phi is searched only up to phi^lag = FIT_NOISE_LEFT_OVER for the
 * largest usable lag, since beyond that a plateau would be invented: 0.90 for lag 16, 0.82 for
 * lag 8, 0.67 for lag 4.
 *
 * Assumptions: readings equally spaced (a missing one is a gap), noise stationary, correlation
 * that falls off like phi^k. Limits:
 *   negative correlation is taken as none, which can only make the result larger;
 *   correlation longer than the largest usable lag cannot be told from drift, is taken as drift
 *     and flagged (plateau false), and the result is then too small;
 *   a mix of fresh noise and slow wander is described by one phi and comes out too small;
 *   a drift that curves within 2 L readings is taken as noise;
 *   noise below the resolution of the instrument may show as zero, so the resolution is an error
 *     row of its own.
 *
 * Scatter of the predicted variance of a mean, by simulation (400 series each, straight drift and
 * slow sine under the noise): 16 windows of 60 readings 8 % for phi 0, 17 % for 0.5, 37 % for 0.8;
 * a single window of 60 readings 45 %, 100 % and more than 100 %. So pool before using it.
 *
 * Source: differences after J. von Neumann et al., Ann. Math. Statist. 12 (1941) 153 (from memory);
 *         several lags, second differences and the likelihood are this project's. */
#ifndef FIT_NOISE_H
#define FIT_NOISE_H

#include <stdbool.h>
#include <stddef.h>

#include "fit/status.h"

#define FIT_NOISE_LAGS 5
#define FIT_NOISE_DEPTH 32 /* twice the largest lag */

struct fit_noise {
    double past[FIT_NOISE_DEPTH]; /* ring of the last readings */
    size_t next;                  /* where the coming reading goes */
    size_t filled;                /* readings since the last gap, at most FIT_NOISE_DEPTH */
    double n_readings;            /* taken altogether */
    double sum_d2[FIT_NOISE_LAGS];
    double count[FIT_NOISE_LAGS];
};

struct fit_noise_result {
    double s;           /* standard deviation of one reading's noise (the reading's unit) */
    double phi;         /* correlation of neighbours, >= 0, < 0.91 */
    double s_neighbour; /* from lag 1 alone, as if independent: for comparison */
    size_t lag;         /* largest lag that had enough differences */
    bool plateau;       /* false: the correlation may reach further than lag shows;
                           or lag is 1 */
};

#define FIT_NOISE_LEFT_OVER 0.2 /* correlation at the largest lag; our choice */
#define FIT_NOISE_MIN_COUNT 8 /* differences below which a lag is not used; our choice */

void fit_noise_init(struct fit_noise *noise);

/* The next reading. One that is not finite counts as a gap. */
void fit_noise_add(struct fit_noise *noise, double value);

/* The same for a stretch of n readings with a gap before and after it, faster and to the same bits.
 */
void fit_noise_stretch(struct fit_noise *noise, const double *value, size_t n);

/* What follows does not join what came before. */
void fit_noise_gap(struct fit_noise *noise);

/* Pool: into += from, as separate stretches. Both should be noise of the same channel. */
void fit_noise_merge(struct fit_noise *into, const struct fit_noise *from);

/* Returns: FIT_OK; FIT_TOO_FEW if no lag has FIT_NOISE_MIN_COUNT differences (out is NaN) */
enum fit_status fit_noise_estimate(const struct fit_noise *noise, struct fit_noise_result *out);

/* By how much readings go to and fro from one to the next, as where two series alternate: then they
 * agree with the ones two before, and the mean square of d_2 is below a tenth of that of d_1 (1 of
 * fresh noise, more of slow noise). Our own figure.
 * Returns: half the root mean square of d_1; 0 where they do not, or with fewer than 32 differences */
double fit_noise_swing(const struct fit_noise *noise);

/* Number of independent readings that n equally spaced ones are worth for their mean.
 * Returns: n / (1 + 2 sum_{k<n} (1 - k/n) phi^k), between 1 and n; n may be 1 or more */
double fit_noise_effective(double phi, double n);

/* Standard uncertainty of the mean of n readings: s / sqrt(effective number). */
double fit_noise_of_mean(const struct fit_noise_result *result, double n);

#endif
