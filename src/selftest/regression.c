/* The numerics against certified data and against other programs' results. */
#include "selftest/fields.h"

#include "base/numbers.h"
#include "base/text.h"
#include "fit/bands.h"
#include "fit/combine.h"
#include "fit/curve.h"
#include "fit/distributions.h"
#include "fit/linear.h"
#include "fit/scale.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { ROWS_MAX = 100 };

/* A linear regression whose data are published. */
struct set {
    const char *name, *data;
    const char *x, *y; /* heads; x NULL: columns x1, x2 ... */
    size_t p;
    unsigned lowest; /* lowest power of x */
    bool weighted;   /* by 1/x */
    double asked;    /* digits */
};

/* Digits that double precision can hold of each (Filip: powers of x as published, not centred). */
static const struct set nist_sets[] = {
    {"Norris", "nist-norris", "x", "y", 2, 0, false, 9},
    {"Pontius", "nist-pontius", "x", "y", 3, 0, false, 9},
    {"NoInt1", "nist-noint1", "x", "y", 1, 1, false, 9},
    {"NoInt2", "nist-noint2", "x", "y", 1, 1, false, 9},
    {"Filip", "nist-filip", "x", "y", 11, 0, false, 6},
    {"Longley", "nist-longley", NULL, "y", 7, 0, false, 9},
    {"Wampler1", "nist-wampler1", "x", "y", 6, 0, false, 9},
    {"Wampler2", "nist-wampler2", "x", "y", 6, 0, false, 9},
    {"Wampler3", "nist-wampler3", "x", "y", 6, 0, false, 9},
    {"Wampler4", "nist-wampler4", "x", "y", 6, 0, false, 7},
    {"Wampler5", "nist-wampler5", "x", "y", 6, 0, false, 5},
};

static const struct set r_sets[] = {
    {"cars_line", "cars", "speed", "dist", 2, 0, false, 9},
    {"cars_quad", "cars", "speed", "dist", 3, 0, false, 9},
    {"cars_origin", "cars", "speed", "dist", 1, 1, false, 9},
    {"cars_weighted_inv_speed", "cars", "speed", "dist", 2, 0, true, 9},
    {"norris_line", "nist-norris", "x", "y", 2, 0, false, 9},
};

static void terms_at(const struct set *set, double x, double *t)
{
    double power = 1;
    for (unsigned k = 0; k < set->lowest; k++)
        power *= x;
    for (size_t j = 0; j < set->p; j++, power *= x)
        t[j] = power;
}

static void terms_of_row(const struct set *set, const struct published_table *data, size_t i,
                         double *t)
{
    if (set->x != NULL) {
        terms_at(set, published_number(data, i, set->x), t);
        return;
    }
    t[0] = 1;
    for (size_t j = 1; j < set->p; j++) {
        char head[24];
        snprintf(head, sizeof head, "x%zu", j);
        t[j] = published_number(data, i, head);
    }
}

/* A fit that is refused leaves NaN everywhere, which no comparison passes. */
static bool fit_set(const struct set *set, const struct published *published,
                    struct fit_linear *fit, struct faults *faults)
{
    struct published_table data;
    double x[ROWS_MAX * FIT_MAX_COEF], y[ROWS_MAX], w[ROWS_MAX];
    bool good = published_open(&data, published, set->data, faults);
    size_t n = data.n_rows < ROWS_MAX ? data.n_rows : ROWS_MAX;
    for (size_t i = 0; i < n && good; i++) {
        terms_of_row(set, &data, i, x + i * set->p);
        y[i] = published_number(&data, i, set->y);
        w[i] = set->weighted ? 1 / published_number(&data, i, set->x) : 1;
    }
    if (good && fit_linear(x, y, w, n, set->p, fit) == FIT_NO_MEMORY)
        good = fault_memory(faults);
    published_close(&data);
    return good;
}

/* One certified row: a coefficient with its standard deviation, or the scatter. */
static void see_certified(struct checks *checks, const struct set *set,
                          const struct fit_linear *fit, const struct published_table *certified,
                          size_t row)
{
    const char *what = published_text(certified, row, "quantity");
    double want = published_number(certified, row, "estimate");
    long long power;
    char name[CHECK_NAME];
    if (what[0] == 'B' && number_read_integer(what + 1, strlen(what + 1), &power)) {
        size_t j = (size_t)power - set->lowest;
        if (power < (long long)set->lowest || j >= set->p)
            return;
        checks_see(checks, what, want, fit->coef[j], want);
        double sd = published_number(certified, row, "std_dev");
        snprintf(name, sizeof name, "sd of %s", what);
        checks_see(checks, name, sd, fit_linear_std_error(fit, j), sd);
    } else if (text_same(what, "residual_sd")) {
        checks_see(checks, "residual sd", want, fit->s, want);
    } else if (text_same(what, "residual_ss")) {
        checks_see(checks, "residual sum", want, fit->rss, want);
    }
}

static bool nist(struct checks *checks, const struct published *published, struct faults *faults)
{
    struct published_table certified;
    checks_group(checks, "Linear least squares",
                 "NIST/ITL Statistical Reference Datasets (SRD 140), certified values (a "
                 "transcription): each coefficient, its standard deviation, the residuals",
                 false);
    bool good = published_open(&certified, published, "nist-linear-certified", faults);
    for (size_t k = 0; k < sizeof nist_sets / sizeof nist_sets[0] && good; k++) {
        struct fit_linear fit;
        good = fit_set(&nist_sets[k], published, &fit, faults);
        if (!good)
            break;
        checks_begin(checks, nist_sets[k].name, nist_sets[k].asked, 2 * nist_sets[k].p + 2);
        for (size_t row = 0; row < certified.n_rows; row++)
            if (text_same(published_text(&certified, row, "dataset"), nist_sets[k].name))
                see_certified(checks, &nist_sets[k], &fit, &certified, row);
    }
    published_close(&certified);
    return good;
}

/* One interval: its ends, in digits of its size. */
static void see_interval(struct checks *checks, const struct set *set,
                         const struct fit_linear *fit, const struct published_table *table,
                         size_t row)
{
    double x = published_number(table, row, "x"), s2 = fit->s * fit->s;
    double low = published_number(table, row, "lwr"), high = published_number(table, row, "upr");
    double cov[FIT_MAX_COEF * FIT_MAX_COEF] = {0}, t[FIT_MAX_COEF];
    fit_cov_add(cov, set->p, fit->cov_unit, s2);
    terms_at(set, x, t);
    const struct fit_parts parts = {
        .p = set->p, .coef = fit->coef, .reading = cov, .reading_dof = (double)fit->dof};
    const struct fit_new_window window = {.reading_variance = set->weighted ? s2 * x : s2};
    struct fit_band band;
    if (text_same(published_text(table, row, "interval"), "prediction"))
        fit_band_next_window(&parts, t, &window, &band);
    else
        fit_band_curve(&parts, t, &band);
    double half = fit_band_half_width(&band, published_number(table, row, "level"));
    double scale = fmax(fabs(low), fabs(high));
    char name[CHECK_NAME];
    snprintf(name, sizeof name, "at %.4g", x);
    checks_see(checks, name, low, band.value - half, scale);
    checks_see(checks, name, high, band.value + half, scale);
}

static bool intervals(struct checks *checks, const struct published *published,
                      struct faults *faults)
{
    struct published_table table;
    checks_group(checks, "Confidence and prediction intervals",
                 "R 4.2.2, lm and predict, levels 0.90 to 0.99; data cars (Ezekiel 1930) and "
                 "Norris",
                 false);
    bool good = published_open(&table, published, "regression-bands", faults);
    for (size_t k = 0; k < sizeof r_sets / sizeof r_sets[0] && good; k++) {
        struct fit_linear fit;
        good = fit_set(&r_sets[k], published, &fit, faults);
        if (!good)
            break;
        checks_begin(checks, r_sets[k].name, r_sets[k].asked, 84);
        for (size_t row = 0; row < table.n_rows; row++)
            if (text_same(published_text(&table, row, "fit_id"), r_sets[k].name))
                see_interval(checks, &r_sets[k], &fit, &table, row);
    }
    published_close(&table);
    return good;
}

/* A number that is compared alone. */
static void one(struct checks *checks, const char *name, double asked, double expected, double got)
{
    checks_begin(checks, name, asked, 1);
    checks_see(checks, name, expected, got, expected);
}

/* Fits the form "line", eta0 - a1 x; the caller frees. A refused fit leaves NaN. */
static bool fit_line(const struct fit_point *points, size_t n, struct fit_curve *curve,
                     struct faults *faults)
{
    return fit_curve_fit(fit_form_find("line"), points, n, curve) != FIT_NO_MEMORY
               ? true
               : fault_memory(faults);
}

static bool york(struct checks *checks, const struct published *published, struct faults *faults)
{
    struct published_table table;
    struct fit_point points[ROWS_MAX];
    struct fit_curve curve;
    double cov[4] = {NAN, NAN, NAN, NAN};
    checks_group(checks, "Line with errors in both variables",
                 "Pearson's data (1901) with York's weights (1966); standard uncertainties after "
                 "York et al., Am. J. Phys. 72 (2004) 367; computed by three independent methods",
                 false);
    bool good = published_open(&table, published, "pearson-york", faults);
    size_t n = table.n_rows < ROWS_MAX ? table.n_rows : ROWS_MAX;
    for (size_t i = 0; i < n && good; i++)
        points[i] = (struct fit_point){
            .at = {.x = published_number(&table, i, "x"), .g = 1},
            .eta = published_number(&table, i, "y"),
            .u_x = 1 / sqrt(published_number(&table, i, "wx")),
            .u_eta = 1 / sqrt(published_number(&table, i, "wy"))};
    published_close(&table);
    if (!good || !fit_line(points, n, &curve, faults))
        return false;
    if (isfinite(curve.chi2))
        fit_curve_cov_adjusted(&curve, points, cov);
    one(checks, "intercept", 12, 5.47991022403287, curve.coef[0]);
    one(checks, "slope", 12, -0.48053340744620, -curve.coef[1]);
    one(checks, "chi2", 12, 11.866353194061, curve.chi2);
    one(checks, "u(intercept)", 10, 0.294970735493, sqrt(cov[0]));
    one(checks, "u(slope)", 10, 0.057985009001, sqrt(cov[3]));
    fit_curve_free(&curve);
    return true;
}

static bool gum(struct checks *checks, const struct published *published, struct faults *faults)
{
    struct published_table table;
    struct fit_point points[ROWS_MAX];
    struct fit_curve curve;
    double cov[4] = {0};
    const double t30[2] = {1, -10};
    checks_group(checks, "Calibration of a thermometer",
                 "JCGM 100:2008 (GUM), H.3; more digits than printed there from exact rational "
                 "arithmetic",
                 false);
    bool good = published_open(&table, published, "gum-h3", faults);
    size_t n = table.n_rows < ROWS_MAX ? table.n_rows : ROWS_MAX;
    for (size_t i = 0; i < n && good; i++)
        points[i] = (struct fit_point){.at.x = published_number(&table, i, "t_degC") - 20,
                                       .eta = published_number(&table, i, "b_degC")};
    published_close(&table);
    if (!good || !fit_line(points, n, &curve, faults))
        return false;
    double scale = fit_scale_factor(&curve, FIT_SCALE_ESTIMATED);
    fit_cov_add(cov, 2, curve.cov_reading, scale);
    one(checks, "y1", 12, -0.171203790131350, curve.coef[0]);
    one(checks, "y2", 12, 0.00218269773988728, -curve.coef[1]);
    one(checks, "u(y1)", 12, 0.00287759783515995, sqrt(cov[0]));
    one(checks, "u(y2)", 12, 0.000667938773227832, sqrt(cov[3]));
    one(checks, "r(y1, y2)", 12, -0.930429603093446, -fit_correlation(cov, 2, 0, 1));
    one(checks, "s", 12, 0.00349756396350528, sqrt(scale));
    one(checks, "b at 30 °C", 12, -0.149376812732477, fit_dot(t30, curve.coef, 2));
    one(checks, "u(b) at 30 °C", 12, 0.00413859575285494, sqrt(fit_variance(t30, cov, 2)));
    fit_curve_free(&curve);
    return true;
}

bool checks_regression(struct checks *checks, const struct published *published,
                       struct faults *faults)
{
    return nist(checks, published, faults) && intervals(checks, published, faults) &&
           york(checks, published, faults) && gum(checks, published, faults);
}
