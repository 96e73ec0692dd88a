/* How often intervals called 95 % hold the truth: tests drawn at the level of points, with every
 * error of the registry anew, through point_make and efficiency_fit. Beside each the same with
 * calibration taken as fresh for each point, and plain least squares with Student's t. Prints the
 * table of docs/coverage.md.
 *
 *   coverage TESTS      tests a cell
 */
#include "base/randoms.h"
#include "fit/combine.h"
#include "fit/distributions.h"
#include "run/efficiency.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { POINTS_MOST = 40, ROWS = 8, DAYS = 3, METHODS = 3, PLACES = 3, COUNTED = 3 + PLACES };

/* Flat plate; a2 is 0 where a straight line is fitted. */
static const double eta0 = 0.763, a1 = 3.87, a2_true = 0.0137, area_m2 = 2.05;

struct cell {
    const char *name, *form;
    size_t n, levels;
    bool cheap;
    double times; /* true scatter of readings / stated */
    bool sessions;
};

/* Three designs, each with both instruments, scatter as stated and four times it, days alike and
 * not. */
#define EIGHT(name, form, n, levels)                                                               \
    {name, form, n, levels, false, 1, false}, {name, form, n, levels, false, 1, true},             \
        {name, form, n, levels, false, 4, false}, {name, form, n, levels, false, 4, true},         \
        {name, form, n, levels, true, 1, false}, {name, form, n, levels, true, 1, true},           \
        {name, form, n, levels, true, 4, false},                                                   \
    {                                                                                              \
        name, form, n, levels, true, 4, true                                                       \
    }
static const struct cell cells[] = {
    EIGHT("4 points, 2 temperatures, line", "line", 4, 2),
    EIGHT("16 points, 4 temperatures, second order", "second order", 16, 4),
    EIGHT("40 points, 6 temperatures, second order", "second order", 40, 6),
};

/* Standard uncertainties: laboratory, cheap. Invented, of a usual size. */
static const struct {
    enum error_kind kind;
    enum shift_target what;
    enum channel channel, also;
    double u[2];
} sources[ROWS] = {
    {ERROR_CALIBRATION, SHIFT_GAIN, CH_IRRADIANCE, CH_IRRADIANCE, {0.006, 0.025}},
    {ERROR_CALIBRATION, SHIFT_OFFSET, CH_INLET, CH_OUTLET, {0.05, 0.30}},
    {ERROR_CALIBRATION, SHIFT_OFFSET, CH_OUTLET, CH_OUTLET, {0.02, 0.15}},
    {ERROR_CALIBRATION, SHIFT_OFFSET, CH_AMBIENT, CH_AMBIENT, {0.10, 0.40}},
    {ERROR_CALIBRATION, SHIFT_GAIN, CH_FLOW, CH_FLOW, {0.004, 0.020}},
    {ERROR_CALIBRATION, SHIFT_AREA, CH_IRRADIANCE, CH_IRRADIANCE, {0.002, 0.005}},
    {ERROR_SESSION, SHIFT_OFFSET, CH_IRRADIANCE, CH_IRRADIANCE, {2.0, 6.0}},
    {ERROR_SESSION, SHIFT_GAIN, CH_FLOW, CH_FLOW, {0.002, 0.006}},
};
static const double reading_g[2] = {1.5, 4.0}, reading_K[2] = {0.02, 0.06},
                    reading_flow[2] = {0.002, 0.006};

struct study {
    struct fluid fluid;
    struct point_setup setup;
    struct error_registry registry, fresh;
    struct means exact[POINTS_MOST], means[POINTS_MOST];
    struct point points[POINTS_MOST];
    struct randoms randoms;
    struct faults faults;
    double x[PLACES];
    double truth[COUNTED];
    size_t held[METHODS][COUNTED];
};

static void need(bool good, const struct study *s)
{
    if (good)
        return;
    fprintf(stderr, "coverage: %s\n", s->faults.n > 0 ? s->faults.items[0].found : "failed");
    exit(5);
}

static double curve(const struct cell *cell, double x, double g)
{
    return eta0 - a1 * x - (cell->levels > 2 ? a2_true : 0) * g * x * x;
}

/* A point on the curve exactly: the rise is what gives its efficiency. */
static void set_exact(struct study *s, const struct cell *cell, size_t i)
{
    struct means *m = &s->exact[i];
    double above_K = 60.0 * (double)(i % cell->levels) / (double)(cell->levels - 1);
    double g = 861 + 7.3 * (double)(i % 11), rise_K = 5;
    memset(m, 0, sizeof *m);
    snprintf(m->name, sizeof m->name, "%zu", i + 1);
    m->session = (int64_t)(i * DAYS / cell->n);
    m->drift_K_s = NAN;
    m->has[CH_IRRADIANCE] = m->has[CH_AMBIENT] = m->has[CH_INLET] = m->has[CH_OUTLET] = true;
    m->has[CH_FLOW] = true;
    m->mean[CH_IRRADIANCE] = g;
    m->mean[CH_AMBIENT] = 23.7 + 0.31 * (double)(i % 5);
    m->mean[CH_FLOW] = 4.1e-5;
    m->u[CH_IRRADIANCE] = reading_g[cell->cheap];
    m->u[CH_AMBIENT] = m->u[CH_INLET] = m->u[CH_OUTLET] = reading_K[cell->cheap];
    m->u[CH_FLOW] = reading_flow[cell->cheap] * m->mean[CH_FLOW];
    for (int step = 0; step < 30; step++) {
        struct point_value value;
        m->mean[CH_INLET] = m->mean[CH_AMBIENT] + above_K - rise_K / 2;
        m->mean[CH_OUTLET] = m->mean[CH_INLET] + rise_K;
        need(point_evaluate(m, &s->setup, NULL, &value) == POINT_OK, s);
        rise_K *= curve(cell, value.x, g) / value.eta;
    }
}

static void set_registry(struct study *s, const struct cell *cell)
{
    registry_free(&s->registry);
    registry_free(&s->fresh);
    for (size_t k = 0; k < ROWS; k++) {
        bool two = sources[k].also != sources[k].channel;
        struct error_source row = {.kind = sources[k].kind,
                                   .u = sources[k].u[cell->cheap],
                                   .dof = INFINITY,
                                   .n_targets = two ? 2 : 1};
        if (row.kind == ERROR_SESSION && !cell->sessions)
            continue;
        snprintf(row.id, sizeof row.id, "row %zu", k);
        row.targets[0] = (struct error_target){sources[k].what, sources[k].channel, 1};
        row.targets[1] = (struct error_target){sources[k].what, sources[k].also, 1};
        need(registry_add(&s->registry, &row, &s->faults), s);
        row.kind = row.kind == ERROR_CALIBRATION ? ERROR_READING : row.kind;
        need(registry_add(&s->fresh, &row, &s->faults), s);
    }
}

/* The instruments of one test, and what they show. The stated area errs the other way about: the
 * efficiency is read as many times larger as the area is too small. */
static void draw(struct study *s, const struct cell *cell)
{
    struct shifts calibration, day[DAYS];
    memset(&calibration, 0, sizeof calibration);
    for (size_t k = 0; k < s->registry.n; k++)
        if (s->registry.rows[k].kind == ERROR_CALIBRATION)
            shifts_add(&calibration, &s->registry.rows[k],
                       s->registry.rows[k].u * randoms_normal(&s->randoms));
    for (int d = 0; d < DAYS; d++) {
        day[d] = calibration;
        for (size_t k = 0; k < s->registry.n; k++)
            if (s->registry.rows[k].kind == ERROR_SESSION)
                shifts_add(&day[d], &s->registry.rows[k],
                           s->registry.rows[k].u * randoms_normal(&s->randoms));
    }
    s->setup.area_m2 = area_m2 * (1 + calibration.area);
    for (size_t i = 0; i < cell->n; i++) {
        const struct shifts *shift = &day[s->exact[i].session];
        s->means[i] = s->exact[i];
        for (int c = 0; c < CH_LOGGED; c++)
            s->means[i].mean[c] = s->exact[i].mean[c] * (1 + shift->gain[c]) + shift->offset[c] +
                                  cell->times * s->exact[i].u[c] * randoms_normal(&s->randoms);
    }
}

static void count(struct study *s, int method, size_t what, double value, double half)
{
    s->held[method][what] += fabs(value - s->truth[what]) <= half;
}

static void count_fit(struct study *s, int method, const struct efficiency *e)
{
    struct fit_parts parts = efficiency_parts(e);
    for (size_t j = 0; j < e->form->n_coef; j++) {
        double u, dof;
        efficiency_combined(e, j, &u, &dof);
        count(s, method, j, e->curve.coef[j], fit_coverage_95(dof) * u);
    }
    for (size_t k = 0; k < PLACES; k++) {
        struct fit_condition at = {.x = s->x[k], .g = 900};
        double t[FIT_FORM_MAX_COEF];
        struct fit_band band;
        e->form->terms(&at, t);
        fit_band_curve(&parts, t, &band);
        count(s, method, 3 + k, band.value, band.half_95);
    }
}

static void count_plain(struct study *s, int method, const struct efficiency *e)
{
    const struct fit_linear *plain = &e->plain;
    double times = fit_t_quantile(0.975, (double)plain->dof);
    for (size_t j = 0; j < plain->p; j++)
        count(s, method, j, plain->coef[j], times * fit_linear_std_error(plain, j));
    for (size_t k = 0; k < PLACES; k++) {
        struct fit_condition at = {.x = s->x[k], .g = 900};
        double t[FIT_FORM_MAX_COEF];
        e->form->terms(&at, t);
        count(s, method, 3 + k, fit_dot(t, plain->coef, plain->p),
              times * plain->s * sqrt(fit_variance(t, plain->cov_unit, plain->p)));
    }
}

static void fit(struct study *s, const struct cell *cell, int method,
                const struct error_registry *registry)
{
    struct efficiency e;
    struct efficiency_request request = {
        .form = cell->form, .scale = FIT_SCALE_AT_LEAST, .drop_below = 2};
    for (size_t i = 0; i < cell->n; i++)
        need(point_make(&s->points[i], &s->means[i], &s->setup, registry, &s->faults), s);
    need(efficiency_fit(&e, s->points, cell->n, &s->setup, registry, &request, &s->faults), s);
    count_fit(s, method, &e);
    if (method == 0)
        count_plain(s, 2, &e);
    efficiency_free(&e);
}

static void run_cell(struct study *s, const struct cell *cell, uint64_t tests, uint64_t stream)
{
    const double truth[3] = {eta0, a1, cell->levels > 2 ? a2_true : 0};
    memset(s->held, 0, sizeof s->held);
    s->setup.area_m2 = area_m2;
    set_registry(s, cell);
    for (size_t i = 0; i < cell->n; i++)
        set_exact(s, cell, i);
    memcpy(s->truth, truth, sizeof truth);
    for (size_t k = 0; k < PLACES; k++) {
        s->x[k] = 0.033 * (double)k;
        s->truth[3 + k] = curve(cell, s->x[k], 900);
    }
    for (uint64_t test = 0; test < tests; test++) {
        randoms_seed(&s->randoms, stream + 1, test);
        draw(s, cell);
        fit(s, cell, 0, &s->registry);
        fit(s, cell, 1, &s->fresh);
    }
}

static void print_cell(const struct study *s, const struct cell *cell, uint64_t tests)
{
    printf("| %s | %s | %s | %s |", cell->name, cell->cheap ? "cheap" : "laboratory",
           cell->times > 1 ? "4 times stated" : "as stated", cell->sessions ? "differ" : "alike");
    for (size_t what = 0; what < COUNTED; what++) {
        if (what == 2 && cell->levels < 3) {
            printf(" |");
            continue;
        }
        printf(" **%.1f** %.0f %.0f |", 100 * (double)s->held[0][what] / (double)tests,
               100 * (double)s->held[1][what] / (double)tests,
               100 * (double)s->held[2][what] / (double)tests);
    }
    printf("\n");
    fflush(stdout);
}

int main(int argc, char **argv)
{
    static struct study s;
    uint64_t tests = argc > 1 ? strtoull(argv[1], NULL, 10) : 4000;
    faults_init(&s.faults);
    registry_init(&s.registry);
    registry_init(&s.fresh);
    fluid_water(&s.fluid);
    s.setup = (struct point_setup){.fluid = &s.fluid, .area_m2 = area_m2, .longitude_rad = NAN};
    need(tests > 0 && randoms_init(&s.randoms, &s.faults), &s);
    printf("| test | instruments | scatter | days | η₀ | a₁ | a₂ | T* = 0 | 0.033 | 0.066 |\n"
           "| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |\n");
    for (size_t k = 0; k < sizeof cells / sizeof cells[0]; k++) {
        run_cell(&s, &cells[k], tests, k);
        print_cell(&s, &cells[k], tests);
    }
    randoms_free(&s.randoms);
    registry_free(&s.registry);
    registry_free(&s.fresh);
    return 0;
}
