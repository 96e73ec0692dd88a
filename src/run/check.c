#include "run/check.h"

#include "domain/error_expand.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

/* A thermometer that is so many times as sure as any other is the reference of all. Our own figure. */
#define BEST_KNOWN_TIMES 3.0

/* What a check leaves where nothing is stated, as a share of what it replaces, and where nothing
 * was stated before either. All our own figures. */
#define OFFSET_LEFT_SHARE 0.2
#define OFFSET_LEFT_K 0.05

void check_fails(struct check_result *result, const char *needed, const char *hint, const char *why,
                 ...)
{
    va_list args;
    va_start(args, why);
    vsnprintf(result->why, sizeof result->why, why, args);
    va_end(args);
    snprintf(result->needed, sizeof result->needed, "%s", needed);
    snprintf(result->hint, sizeof result->hint, "%s", hint);
    result->found = false;
}

struct check_sample check_sample(const double *x, const double *y, size_t n)
{
    struct check_sample out = {NAN, NAN, NAN, NAN};
    double sx = 0, sy = 0, sxx = 0, sxy = 0, syy = 0;
    for (size_t i = 0; i < n; i++) {
        sx += x[i];
        sy += y[i];
    }
    double mx = sx / (double)n, my = sy / (double)n;
    out.mean = my;
    for (size_t i = 0; i < n; i++) {
        sxx += (x[i] - mx) * (x[i] - mx);
        sxy += (x[i] - mx) * (y[i] - my);
        syy += (y[i] - my) * (y[i] - my);
    }
    if (n >= 2)
        out.u = sqrt(syy / (double)(n - 1) / (double)n);
    if (n >= 3 && sxx > 0) {
        double span = x[n - 1] - x[0], rest = fmax(syy - sxy * sxy / sxx, 0);
        out.change = sxy / sxx * span;
        out.u_change = sqrt(rest / (double)(n - 2) / sxx) * span;
    }
    return out;
}

static const struct instrument *probe_instrument(const struct test_setup *setup,
                                                 const struct check_probe *probe)
{
    return probe->instrument == CHECK_NO_PROBE ? NULL : &setup->instruments[probe->instrument];
}

static double level_u(const struct test_setup *setup, const struct instrument *instrument)
{
    return instrument == NULL
               ? 0.0
               : error_of_offset(setup->instruments, setup->n_instruments, instrument);
}

static bool matched(const struct instrument *a, const struct instrument *b)
{
    return a->matched_to.at.given && text_same_nocase(a->matched_to.text, b->name);
}

/* What is stated of the difference of two thermometers: of a matched pair what is left of it. */
static double between_u(const struct test_setup *setup, const struct instrument *a,
                        const struct instrument *b)
{
    if (a != NULL && b != NULL) {
        if (matched(a, b))
            return a->pair.u;
        if (matched(b, a))
            return b->pair.u;
    }
    return hypot(level_u(setup, a), level_u(setup, b));
}

/* Of the mean of all: errors of their own average, what a matched pair shares does not. */
static double mean_u(const struct test_setup *setup, const struct check_result *result)
{
    double sum = 0;
    for (size_t i = 0; i < result->n_probes; i++) {
        const struct instrument *a = probe_instrument(setup, &result->probes[i]);
        sum += pow(level_u(setup, a), 2);
        for (size_t j = 0; j < result->n_probes; j++) {
            const struct instrument *b = probe_instrument(setup, &result->probes[j]);
            if (a != NULL && b != NULL && matched(a, b))
                sum += 2 * pow(level_u(setup, b), 2);
        }
    }
    return sqrt(sum) / (double)result->n_probes;
}

static void set_left(const struct test_setup *setup, struct check_result *result,
                     struct check_probe *probe, const struct instrument *reference)
{
    const struct stated_error *stated = &result->run->check.left;
    const struct instrument *own = probe_instrument(setup, probe);
    probe->u_before_K = result->reference == CHECK_NO_PROBE ? level_u(setup, own)
                                                            : between_u(setup, own, reference);
    double left = stated->at.given        ? stated->u
                  : probe->u_before_K > 0 ? OFFSET_LEFT_SHARE * probe->u_before_K
                                          : OFFSET_LEFT_K;
    /* Water at rest does not make a display flicker: a step does not average out. */
    double step = own == NULL ? 0 : error_of_resolution(own);
    double reference_step = reference == NULL ? 0 : error_of_resolution(reference);
    probe->u_left_K = hypot(left, hypot(step, reference_step));
}

size_t check_best_known(const struct test_setup *setup, const struct check_result *result)
{
    size_t best = CHECK_NO_PROBE;
    double least = INFINITY, next = INFINITY;
    for (size_t i = 0; i < result->n_probes; i++) {
        double u = level_u(setup, probe_instrument(setup, &result->probes[i]));
        if (!(u > 0))
            continue; /* nothing is stated: not known */
        if (u < least) {
            next = least;
            least = u;
            best = i;
        } else {
            next = fmin(next, u);
        }
    }
    return BEST_KNOWN_TIMES * least <= next ? best : CHECK_NO_PROBE;
}

static double reference_of(const struct check_result *result, const double readings[CHECK_PROBES])
{
    if (result->reference != CHECK_NO_PROBE)
        return readings[result->reference];
    double sum = 0;
    for (size_t i = 0; i < result->n_probes; i++)
        sum += readings[i];
    return sum / (double)result->n_probes;
}

void check_compare(const struct test_setup *setup, const double *x,
                   const double (*readings)[CHECK_PROBES], size_t n, struct check_result *result)
{
    const struct instrument *reference =
        result->reference == CHECK_NO_PROBE
            ? NULL
            : probe_instrument(setup, &result->probes[result->reference]);
    const struct stated_error *stated = &result->run->check.reference_error;
    result->u_common_K = result->reference == CHECK_NO_PROBE ? mean_u(setup, result)
                         : reference == NULL                 ? stated->u
                                                             : level_u(setup, reference);
    result->n = n;
    for (size_t i = 0; i < result->n_probes; i++) {
        struct check_probe *probe = &result->probes[i];
        double off[CHECK_READINGS];
        double sum = 0;
        for (size_t k = 0; k < n; k++) {
            off[k] = readings[k][i] - reference_of(result, readings[k]);
            sum += readings[k][i];
        }
        probe->mean_degC = sum / (double)n;
        if (i == result->reference) {
            probe->dof = INFINITY;
            continue;
        }
        struct check_sample sample = check_sample(x, off, n);
        /* Each probe's own noise is in the mean too, so its distance from that scatters less. */
        double own = result->reference != CHECK_NO_PROBE
                         ? 1
                         : sqrt((double)result->n_probes / ((double)result->n_probes - 1));
        probe->offset_K = sample.mean;
        probe->u_K = own * sample.u;
        probe->dof = (double)(n - 1);
        probe->trend_K = sample.change;
        probe->u_trend_K = sample.u_change;
        set_left(setup, result, probe, reference);
    }
    result->found = true;
}
