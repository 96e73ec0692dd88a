/* Check runs: what the instruments are off by, found before the curve and used for it.
 *
 *   zero check              water circulates at the temperature of the air, in the dark: both
 *                           thermometers of the fluid feel the same, the sun sensor nothing
 *   thermometers together   all in one stirred bucket: the offset of each, to a reference or to
 * their mean bucket and stopwatch    what came into a bucket against what the flow meter showed
 *
 * A check corrects the readings before anything is formed from them, and replaces what is stated of
 * that error (or known of the instrument's kind) by the scatter of its own readings and by what it
 * cannot tell. A check that fails leaves everything as stated.
 * Source: docs/methods.md, "Checks of the instruments".
 */
#ifndef RUN_CHECK_H
#define RUN_CHECK_H

#include "base/faults.h"
#include "run/setup.h"

#include <stdbool.h>
#include <stddef.h>

enum { CHECK_WORDS = 240, CHECK_PARTS = 20 };
#define CHECK_NO_PROBE ((size_t)-1)

/* One thermometer of a check. */
struct check_probe {
    char name[NAME_SIZE];
    size_t instrument; /* index in the setup; CHECK_NO_PROBE: a reference from outside */
    double mean_degC;
    double offset_K; /* how much it reads above the reference; 0 for the reference itself */
    double u_K;      /* of that, from the scatter */
    double dof;
    double u_left_K;   /* of what the check cannot tell */
    double u_before_K; /* what was stated of it against the reference */
    double trend_K;    /* change of the offset from the check's start to its end */
    double u_trend_K;
};

struct check_zero {
    bool found;
    size_t instrument;
    double value_W_m2;
    double u_W_m2;
    double dof;
    double u_left_W_m2;
    double u_before_W_m2;
};

/* What the collector itself did to the water in a zero check. */
struct check_loop {
    double above_air_K; /* inlet minus air */
    double drift_K_s;
    double flow_kg_s;
    double rise_K; /* expected between the thermometers; taken off the offset */
    double u_rise_K;
};

struct check_meter {
    size_t instrument;
    double gain; /* true / shown */
    double u;
    double dof;
    double u_left;
    double u_before;
    double each[CHECK_FILLS]; /* true / shown of each fill */
    bool
        counts_stated; /* the fills scatter less than stopwatch and counter must: u is from these */
};

struct check_result {
    const struct run_section *run; /* borrowed from the setup */
    bool found;
    char why[CHECK_WORDS]; /* not found: what stood against it, what is needed, what to do */
    char needed[CHECK_WORDS];
    char hint[CHECK_WORDS];
    size_t n;        /* parts of the stretch, typed readings, or fills */
    double length_s; /* of the stretch; NaN where typed */
    struct check_probe probes[CHECK_PROBES];
    size_t n_probes;
    size_t reference;  /* of the probes; CHECK_NO_PROBE: their mean */
    double u_common_K; /* standard uncertainty of the reference: common to all */
    struct check_loop loop;
    struct check_zero zero;
    struct check_meter meter;
};

/* Means of the parts of one stretch of the log; NaN where a channel is absent. */
struct check_parts {
    size_t n;
    double time_s[CHECK_PARTS]; /* middle of the part, from the start of the stretch */
    double mean[CHECK_PARTS][CH_COUNT];
};

/* Mean of n values with the standard error of the mean (n - 1 degrees of freedom) and the straight
 * line's change over the span of x.
 * In: n >= 3 for the change, >= 2 for the error */
struct check_sample {
    double mean;
    double u;
    double change;
    double u_change;
};
struct check_sample check_sample(const double *x, const double *y, size_t n);

/* Whether what the runs ask for fits the rest of the description: thermometers that exist, one
 * check for each error, a log where a stretch is named. Returns: false with an input fault for each
 */
bool checks_fit(const struct test_setup *setup, struct faults *faults);

/* Finds. Out: result, found or not with the reason.
 * In: parts  of its stretch; NULL for what was typed */
void zero_check_find(const struct test_setup *setup, const struct run_section *run,
                     const struct check_parts *parts, struct check_result *result);
void together_find(const struct test_setup *setup, const struct run_section *run,
                   const struct check_parts *parts, struct check_result *result);
void bucket_find(const struct test_setup *setup, const struct run_section *run,
                 struct check_result *result);

/* Not found. */
void check_fails(struct check_result *result, const char *needed, const char *hint, const char *why,
                 ...) __attribute__((format(printf, 4, 5)));

/* The probe whose stated error is a third of any other's or less (one with nothing stated is not known);
 * CHECK_NO_PROBE if there is none. */
size_t check_best_known(const struct test_setup *setup, const struct check_result *result);

/* Fills offset, scatter, and what is left, of every probe but the reference.
 * In: readings  n rows of CHECK_PROBES temperatures; x  n moments */
void check_compare(const struct test_setup *setup, const double *x,
                   const double (*readings)[CHECK_PROBES], size_t n, struct check_result *result);

/* The instruments as corrected, and the registry made anew, from all results that were found and
 * are to be applied. Returns: false when memory is short */
bool checks_apply(struct test_setup *setup, const struct check_result *results, size_t n,
                  struct faults *faults);

#endif
