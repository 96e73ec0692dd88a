#include "fit/noise.h"

#include <math.h>

static const size_t lags[FIT_NOISE_LAGS] = {1, 2, 4, 8, 16};

void fit_noise_init(struct fit_noise *noise)
{
    *noise = (struct fit_noise){0};
}

void fit_noise_gap(struct fit_noise *noise)
{
    noise->filled = 0;
}

/* The reading `back` places before the coming one; 1 is the last. */
static double past(const struct fit_noise *noise, size_t back)
{
    return noise->past[(noise->next + FIT_NOISE_DEPTH - back) % FIT_NOISE_DEPTH];
}

void fit_noise_add(struct fit_noise *noise, double value)
{
    if (!isfinite(value)) {
        fit_noise_gap(noise);
        return;
    }
    for (size_t k = 0; k < FIT_NOISE_LAGS && 2 * lags[k] <= noise->filled; k++) {
        /* Formed as a difference of differences: large common values cancel first. */
        double d = (value - past(noise, lags[k])) -
                   (past(noise, lags[k]) - past(noise, 2 * lags[k]));
        noise->sum_d2[k] += d * d;
        noise->count[k] += 1.0;
    }
    noise->past[noise->next] = value;
    noise->next = (noise->next + 1) % FIT_NOISE_DEPTH;
    noise->filled += noise->filled < FIT_NOISE_DEPTH;
    noise->n_readings += 1.0;
}

/* n finite readings after a gap: the differences up to reading `end` - 1 from reading `from` on, in
 * those lags that reach back no further than the first. */
static void add_differences(struct fit_noise *noise, const double *value, size_t from, size_t end,
                            size_t n_lags)
{
    double sum[FIT_NOISE_LAGS];
    for (size_t k = 0; k < FIT_NOISE_LAGS; k++)
        sum[k] = noise->sum_d2[k];
    for (size_t i = from; i < end; i++)
        for (size_t k = 0; k < n_lags; k++) {
            const double *at = value + i;
            double middle = at[-(ptrdiff_t)lags[k]];
            double d = (at[0] - middle) - (middle - at[-2 * (ptrdiff_t)lags[k]]);
            sum[k] += d * d;
        }
    for (size_t k = 0; k < n_lags; k++) {
        noise->sum_d2[k] = sum[k];
        noise->count[k] += (double)(end - from);
    }
}

static void add_finite(struct fit_noise *noise, const double *value, size_t n)
{
    size_t from = 0;
    for (size_t k = 0; k < FIT_NOISE_LAGS && from < n; k++) {
        size_t end = 2 * lags[k] < n ? 2 * lags[k] : n;
        add_differences(noise, value, from, end, k);
        from = end;
    }
    if (from < n)
        add_differences(noise, value, from, n, FIT_NOISE_LAGS);
    noise->n_readings += (double)n;
}

void fit_noise_stretch(struct fit_noise *noise, const double *value, size_t n)
{
    for (size_t first = 0, end; first < n; first = end + 1) {
        end = first;
        while (end < n && isfinite(value[end]))
            end++;
        add_finite(noise, value + first, end - first);
    }
    fit_noise_gap(noise);
}

void fit_noise_merge(struct fit_noise *into, const struct fit_noise *from)
{
    for (size_t k = 0; k < FIT_NOISE_LAGS; k++) {
        into->sum_d2[k] += from->sum_d2[k];
        into->count[k] += from->count[k];
    }
    into->n_readings += from->n_readings;
    fit_noise_gap(into);
}

/* E d_L^2 / s2 for correlation phi^k. */
static double expected(double phi, size_t lag)
{
    double rho = pow(phi, (double)lag);
    return 2.0 * (1.0 - rho) * (3.0 - rho);
}

static bool usable(const struct fit_noise *noise, size_t k)
{
    return noise->count[k] >= FIT_NOISE_MIN_COUNT;
}

/* Most likely variance for a given phi. */
static double variance_for(const struct fit_noise *noise, double phi)
{
    double sum = 0.0, count = 0.0;
    for (size_t k = 0; k < FIT_NOISE_LAGS; k++) {
        if (usable(noise, k)) {
            sum += noise->sum_d2[k] / expected(phi, lags[k]);
            count += noise->count[k];
        }
    }
    return sum / count;
}

/* Minus the log likelihood of phi, variance at its most likely, constants left out. */
static double misfit(const struct fit_noise *noise, double phi)
{
    double sum = 0.0, count = 0.0;
    for (size_t k = 0; k < FIT_NOISE_LAGS; k++) {
        if (usable(noise, k)) {
            sum += noise->count[k] * log(expected(phi, lags[k]));
            count += noise->count[k];
        }
    }
    return sum + count * log(variance_for(noise, phi));
}

double fit_noise_swing(const struct fit_noise *noise)
{
    enum { ONE, TWO }; /* lags[ONE] is 1, lags[TWO] is 2 */
    if (noise->count[TWO] < 32)
        return 0.0;
    double one = noise->sum_d2[ONE] / noise->count[ONE];
    double two = noise->sum_d2[TWO] / noise->count[TWO];
    return two < 0.1 * one ? 0.5 * sqrt(one) : 0.0;
}

/* Largest phi that differences up to a lag can tell from drift: there rho has fallen to
 * FIT_NOISE_LEFT_OVER. */
static double phi_limit(size_t lag)
{
    return lag > 1 ? pow(FIT_NOISE_LEFT_OVER, 1.0 / (double)lag) : 0.0;
}

/* Coarse steps to find the valley, then bisection into thirds. */
static double best_phi(const struct fit_noise *noise, double limit)
{
    enum { STEPS = 50 };
    double step = limit / STEPS, best = 0.0, least = misfit(noise, 0.0);
    for (int i = 1; i <= STEPS; i++) {
        double value = misfit(noise, i * step);
        if (value < least) {
            least = value;
            best = i * step;
        }
    }
    double low = fmax(0.0, best - step), high = fmin(limit, best + step);
    while (high - low > 1e-7) {
        double a = low + (high - low) / 3.0, b = high - (high - low) / 3.0;
        if (misfit(noise, a) <= misfit(noise, b))
            high = b;
        else
            low = a;
    }
    return low < 1e-6 ? 0.0 : (low + high) / 2.0;
}

static double total_squares(const struct fit_noise *noise)
{
    double sum = 0.0;
    for (size_t k = 0; k < FIT_NOISE_LAGS; k++)
        sum += usable(noise, k) ? noise->sum_d2[k] : 0.0;
    return sum;
}

enum fit_status fit_noise_estimate(const struct fit_noise *noise, struct fit_noise_result *out)
{
    *out = (struct fit_noise_result){.s = NAN, .phi = NAN, .s_neighbour = NAN};
    for (size_t k = 0; k < FIT_NOISE_LAGS; k++) {
        if (usable(noise, k))
            out->lag = lags[k];
    }
    if (out->lag == 0)
        return FIT_TOO_FEW;
    out->s_neighbour = usable(noise, 0) ? sqrt(noise->sum_d2[0] / (6.0 * noise->count[0])) : NAN;
    if (!(total_squares(noise) > 0.0)) {
        out->s = out->phi = 0.0;
        out->plateau = true;
        return FIT_OK;
    }
    double limit = phi_limit(out->lag);
    out->phi = limit > 0.0 ? best_phi(noise, limit) : 0.0;
    out->s = sqrt(variance_for(noise, out->phi));
    out->plateau = out->phi < limit - 1e-6;
    return FIT_OK;
}

double fit_noise_effective(double phi, double n)
{
    if (!(phi > 0.0) || n <= 1.0)
        return n;
    double q = 1.0 - phi;
    double inflation = (1.0 + phi) / q - 2.0 * phi * (1.0 - pow(phi, n)) / (n * q * q);
    return n / fmax(1.0, fmin(inflation, n));
}

double fit_noise_of_mean(const struct fit_noise_result *result, double n)
{
    return result->s / sqrt(fit_noise_effective(result->phi, n));
}
