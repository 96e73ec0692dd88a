#include "physics/root.h"

#include <float.h>
#include <math.h>

/* The state of Brent's method: b is the best point, the root lies between b and c, a is the last b.
 */
struct bracket {
    double a, b, c, fa, fb, fc, step, before;
};

static void swap_to_best(struct bracket *k)
{
    if (fabs(k->fc) >= fabs(k->fb))
        return;
    k->a = k->b;
    k->b = k->c;
    k->c = k->a;
    k->fa = k->fb;
    k->fb = k->fc;
    k->fc = k->fa;
}

/* Secant, or inverse quadratic where three points differ: numerator p and denominator q of the
 * step, both with p >= 0. */
static void interpolate(const struct bracket *k, double half, double *p, double *q)
{
    double s = k->fb / k->fa;
    if (k->a == k->c) {
        *p = 2.0 * half * s;
        *q = 1.0 - s;
    } else {
        double u = k->fa / k->fc, r = k->fb / k->fc;
        *p = s * (2.0 * half * u * (u - r) - (k->b - k->a) * (r - 1.0));
        *q = (u - 1.0) * (r - 1.0) * (s - 1.0);
    }
    if (*p > 0.0)
        *q = -*q;
    *p = fabs(*p);
}

/* The next step from b: interpolated where that converges, else half of the bracket. */
static void choose_step(struct bracket *k, double half, double tolerance)
{
    double p, q;
    bool slow = fabs(k->before) < tolerance || fabs(k->fa) <= fabs(k->fb);
    if (!slow) {
        interpolate(k, half, &p, &q);
        slow =
            !(2.0 * p < 3.0 * half * q - fabs(tolerance * q)) || !(p < fabs(0.5 * k->before * q));
    }
    k->before = slow ? half : k->step;
    k->step = slow ? half : p / q;
}

static bool done(struct root *root, const struct bracket *k, bool good)
{
    root->x = k->b;
    root->residual = k->fb;
    return good;
}

bool root_find(root_function *f, void *state, double low, double high, int most_steps,
               struct root *root)
{
    struct bracket k = {.a = low, .b = high, .c = high};
    *root = (struct root){.low = low, .high = high, .steps = 2};
    k.fa = f(low, state);
    k.fb = k.fc = f(high, state);
    k.step = k.before = high - low;
    if (k.fa == 0.0) {
        k.b = k.a;
        k.fb = k.fa;
    }
    if (!isfinite(k.fa) || !isfinite(k.fb) || (k.fa > 0.0) == (k.fb > 0.0))
        return done(root, &k, k.fb == 0.0);
    while (k.fb != 0.0) {
        if ((k.fb > 0.0) == (k.fc > 0.0)) {
            k.c = k.a;
            k.fc = k.fa;
            k.step = k.before = k.b - k.a;
        }
        swap_to_best(&k);
        double tolerance = 2.0 * DBL_EPSILON * fabs(k.b) + DBL_MIN;
        double half = 0.5 * (k.c - k.b);
        if (fabs(half) <= tolerance || k.fb == 0.0)
            break;
        if (root->steps >= most_steps)
            return done(root, &k, false);
        choose_step(&k, half, tolerance);
        k.a = k.b;
        k.fa = k.fb;
        k.b += fabs(k.step) > tolerance ? k.step : half > 0.0 ? tolerance : -tolerance;
        k.fb = f(k.b, state);
        root->steps++;
        if (!isfinite(k.fb))
            return done(root, &k, false);
    }
    return done(root, &k, true);
}
