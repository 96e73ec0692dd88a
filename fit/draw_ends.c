#include "fit/draw_ends.h"

#include <gsl/gsl_sort_double.h>
#include <math.h>

enum { LEAST = 40 };

/* Sorted values: the ends between which 95 % of them lie. LEAST values leave one outside at least.
 */
static void ends(const double *sorted, size_t n, double *low, double *high)
{
    size_t inside = (size_t)(0.95 * (double)n + 0.5);
    size_t r = (n - inside) / 2; /* of 1-based ranks */
    *low = sorted[r - 1];
    *high = sorted[r + inside - 1];
}

struct sums {
    double n, mean, m2;
};

/* B. P. Welford, Technometrics 4 (1962) 419. */
static void add(struct sums *sums, double y)
{
    double off = y - sums->mean;
    sums->n += 1;
    sums->mean += off / sums->n;
    sums->m2 += off * (y - sums->mean);
}

/* Finite values of a batch to the front, in order. */
static size_t take(const double *values, size_t n, double *out, struct sums *all)
{
    size_t taken = 0;
    for (size_t i = 0; i < n; i++) {
        if (isnan(values[i]))
            continue;
        out[taken++] = values[i];
        add(all, values[i]);
    }
    return taken;
}

static double doubt(const struct sums *low, const struct sums *high)
{
    double worse = fmax(low->m2, high->m2);
    return 2.0 * sqrt(worse / (low->n * (low->n - 1.0)));
}

enum fit_status fit_draw_ends(const double *values, size_t n, size_t batch, double *scratch,
                              struct fit_draw_ends *out)
{
    struct sums all = {0}, low = {0}, high = {0};
    size_t taken = 0;
    if (batch < LEAST || n < 2 * batch || n % batch != 0)
        return FIT_RANGE;
    for (size_t from = 0; from < n; from += batch) {
        double least, most;
        size_t here = take(values + from, batch, scratch + taken, &all);
        if (here < LEAST)
            return FIT_TOO_FEW;
        gsl_sort(scratch + taken, 1, here);
        ends(scratch + taken, here, &least, &most);
        add(&low, least);
        add(&high, most);
        taken += here;
    }
    gsl_sort(scratch, 1, taken);
    out->n = taken;
    out->mean = all.mean;
    out->sd = sqrt(all.m2 / (all.n - 1.0));
    ends(scratch, taken, &out->low, &out->high);
    out->doubt = doubt(&low, &high);
    return FIT_OK;
}

double fit_draw_tolerance(double u)
{
    return u > 0 ? 0.5 * pow(10.0, floor(log10(u))) : 0.0;
}
