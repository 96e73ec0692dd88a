#include "study.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define RAD 0.017453292519943295

static const struct plate plate_a = {0.763, 3.87, 0.0137, 0.137},
                          plate_b = {0.741, 3.31, 0.0113, 0.137};

/* Standard uncertainties: laboratory, cheap. Invented, of a usual size. */
static const struct {
    enum error_kind kind;
    enum shift_target what;
    enum channel channel, also;
    bool common; /* to both collectors */
    double u[2];
} sources[ROWS] = {
    {ERROR_CALIBRATION, SHIFT_GAIN, CH_IRRADIANCE, CH_IRRADIANCE, true, {0.006, 0.025}},
    {ERROR_CALIBRATION, SHIFT_OFFSET, CH_INLET, CH_OUTLET, false, {0.05, 0.30}},
    {ERROR_CALIBRATION, SHIFT_OFFSET, CH_OUTLET, CH_OUTLET, false, {0.02, 0.15}},
    {ERROR_CALIBRATION, SHIFT_OFFSET, CH_AMBIENT, CH_AMBIENT, true, {0.10, 0.40}},
    {ERROR_CALIBRATION, SHIFT_GAIN, CH_FLOW, CH_FLOW, false, {0.004, 0.020}},
    {ERROR_CALIBRATION, SHIFT_AREA, CH_IRRADIANCE, CH_IRRADIANCE, false, {0.002, 0.005}},
    {ERROR_SESSION, SHIFT_OFFSET, CH_IRRADIANCE, CH_IRRADIANCE, true, {2.0, 6.0}},
    {ERROR_SESSION, SHIFT_GAIN, CH_FLOW, CH_FLOW, false, {0.002, 0.006}},
    {ERROR_CALIBRATION, SHIFT_OFFSET, CH_INCIDENCE, CH_INCIDENCE, true, {0.3 * RAD, 1.0 * RAD}},
    {ERROR_CALIBRATION, SHIFT_GAIN, CH_DIFFUSE, CH_DIFFUSE, true, {0.03, 0.10}},
};
enum { OF_ANGLE = 8 }; /* these and later ones are drawn after the points near the normal */
static const double reading_g[2] = {1.5, 4.0}, reading_K[2] = {0.02, 0.06},
                    reading_flow[2] = {0.002, 0.006};

void study_need(bool good, const struct study *s)
{
    if (good)
        return;
    fprintf(stderr, "coverage: %s\n", s->faults.n > 0 ? s->faults.items[0].found : "failed");
    exit(5);
}

static bool side_init(struct side *side)
{
    for (size_t k = 0; k < 2; k++) {
        side->reductions[k] = calloc(1, sizeof *side->reductions[k]);
        if (side->reductions[k] == NULL)
            return false;
        registry_init(&side->reductions[k]->setup.errors);
    }
    return true;
}

static void side_free(struct side *side)
{
    for (size_t k = 0; k < 2; k++) {
        if (side->reductions[k] != NULL)
            registry_free(&side->reductions[k]->setup.errors);
        free(side->reductions[k]);
    }
}

bool study_init(struct study *s, uint64_t tests)
{
    memset(s, 0, sizeof *s);
    s->tests = tests;
    faults_init(&s->faults);
    fluid_water(&s->fluid);
    for (size_t what = 0; what < QUANTITIES; what++) {
        s->off[what] = calloc(tests, sizeof *s->off[what]);
        if (s->off[what] == NULL)
            return false;
    }
    return side_init(&s->a) && side_init(&s->b) && randoms_init(&s->randoms, &s->faults);
}

void study_free(struct study *s)
{
    for (size_t what = 0; what < QUANTITIES; what++)
        free(s->off[what]);
    side_free(&s->a);
    side_free(&s->b);
    randoms_free(&s->randoms);
}

static double k_beam(const struct plate *is, double theta_rad)
{
    return 1 - is->b0 * (1 / cos(theta_rad) - 1);
}

static double curve(const struct plate *is, double x, double g)
{
    return is->eta0 - is->a1 * x - is->a2 * g * x * x;
}

/* Light from a whole even sky counts 1/(1 + b0): the integral of 2 K cos sin from 0 to where K is
 * 0. */
static double yields(const struct plate *is, const struct means *m, double x, double g)
{
    double f = m->sun.diffuse_share;
    double k = k_beam(is, m->mean[CH_INCIDENCE]) * (1 - f) + f / (1 + is->b0);
    return curve(is, x, g) - is->eta0 * (1 - k);
}

/* A point that obeys exactly: the rise is what gives its efficiency. Points near the normal have
 * beam at the normal alone, those off it 30 to 62 degrees and a sky of their own. */
static void set_exact(struct study *s, struct side *side, const struct cell *cell, size_t i)
{
    struct means *m = &side->exact[i];
    size_t of = i % side->n; /* among the points of its sort */
    bool oblique = i >= side->n;
    double part = (double)of / (double)(side->n - 1), rise_K = 5;
    double above_K =
        oblique ? 0 : 60.0 * (double)(of % cell->levels) / (double)(cell->levels - 1);
    double g = (oblique ? 760 : 861) + 7.3 * (double)(of % 11);
    memset(m, 0, sizeof *m);
    snprintf(m->name, sizeof m->name, "%zu", i + 1);
    m->session = (int64_t)(of * DAYS / side->n);
    m->drift_K_s = NAN;
    m->has[CH_IRRADIANCE] = m->has[CH_AMBIENT] = m->has[CH_INLET] = m->has[CH_OUTLET] = true;
    m->has[CH_FLOW] = m->has[CH_INCIDENCE] = m->has[CH_DIFFUSE] = true;
    m->mean[CH_IRRADIANCE] = g;
    m->mean[CH_AMBIENT] = 23.7 + 0.31 * (double)(of % 5);
    m->mean[CH_FLOW] = 4.1e-5;
    m->mean[CH_INCIDENCE] = oblique ? (30 + 32 * part) * RAD : 0;
    m->sun.share = SHARE_MEASURED;
    m->sun.diffuse_share = oblique ? 0.14 + 0.02 * (double)(of % 7) : 0;
    m->mean[CH_DIFFUSE] = m->sun.diffuse_share * g;
    m->u[CH_IRRADIANCE] = reading_g[cell->cheap];
    m->u[CH_AMBIENT] = m->u[CH_INLET] = m->u[CH_OUTLET] = reading_K[cell->cheap];
    m->u[CH_FLOW] = reading_flow[cell->cheap] * m->mean[CH_FLOW];
    for (int step = 0; step < 60; step++) {
        struct point_value value;
        m->mean[CH_INLET] = m->mean[CH_AMBIENT] + above_K - rise_K / 2;
        m->mean[CH_OUTLET] = m->mean[CH_INLET] + rise_K;
        study_need(point_evaluate(m, &side->setup, NULL, &value) == POINT_OK, s);
        rise_K *= yields(&side->is, m, value.x, g) / value.eta;
    }
}

static void add_row(struct study *s, struct side *side, const struct cell *cell, size_t k)
{
    struct error_registry *registry = &side->reductions[PROGRAM]->setup.errors;
    struct error_source row = {.kind = sources[k].kind,
                               .u = sources[k].u[cell->cheap],
                               .dof = INFINITY,
                               .n_targets = sources[k].also != sources[k].channel ? 2 : 1};
    snprintf(row.id, sizeof row.id, "row %zu", k);
    if (sources[k].common)
        snprintf(row.instrument_id, sizeof row.instrument_id, "common %zu", k);
    row.targets[0] = (struct error_target){sources[k].what, sources[k].channel, 1};
    row.targets[1] = (struct error_target){sources[k].what, sources[k].also, 1};
    side->row_at[k] = registry->n;
    study_need(registry_add(registry, &row, &s->faults), s);
    row.kind = row.kind == ERROR_CALIBRATION ? ERROR_READING : row.kind;
    study_need(registry_add(&side->reductions[FRESH]->setup.errors, &row, &s->faults), s);
}

static void set_side(struct study *s, struct side *side, const struct plate *plate,
                     const struct cell *cell)
{
    side->is = *plate;
    if (cell->levels < 3)
        side->is.a2 = 0;
    side->n = cell->n;
    side->total = side == &s->a ? 2 * cell->n : cell->n;
    side->setup =
        (struct point_setup){.fluid = &s->fluid, .area_m2 = STUDY_AREA_M2, .longitude_rad = NAN};
    for (size_t k = 0; k < 2; k++) {
        registry_free(&side->reductions[k]->setup.errors);
        registry_init(&side->reductions[k]->setup.errors);
    }
    for (size_t k = 0; k < ROWS; k++) {
        side->row_at[k] = ROWS;
        if ((sources[k].kind == ERROR_CALIBRATION || cell->sessions) &&
            (side == &s->a || k < OF_ANGLE))
            add_row(s, side, cell, k);
    }
    for (size_t i = 0; i < side->total; i++)
        set_exact(s, side, cell, i);
}

void study_set_cell(struct study *s, const struct cell *cell)
{
    memset(s->held, 0, sizeof s->held);
    s->seen = 0;
    set_side(s, &s->a, &plate_a, cell);
    set_side(s, &s->b, &plate_b, cell);
    s->truth[0] = s->a.is.eta0;
    s->truth[1] = s->a.is.a1;
    s->truth[2] = s->a.is.a2;
    for (size_t k = 0; k < PLACES; k++) {
        s->x[k] = 0.033 * (double)k;
        s->truth[AT_PLACES + k] = curve(&s->a.is, s->x[k], STUDY_G_W_M2);
    }
    s->truth[AT_K50] = k_beam(&s->a.is, STUDY_K_RAD);
    s->truth[AT_DIFFERENCE] = curve(&s->a.is, STUDY_DIFFERENCE_X, STUDY_G_W_M2) -
                              curve(&s->b.is, STUDY_DIFFERENCE_X, STUDY_G_W_M2);
}

/* The errors from..to of one side. What both have in common is taken from the other. */
static void draw_rows(struct study *s, struct side *side, size_t from, size_t to)
{
    const struct side *other = side == &s->b ? &s->a : NULL;
    for (size_t k = from; k < to; k++)
        if (side->row_at[k] < ROWS && sources[k].kind == ERROR_CALIBRATION)
            side->drawn[k] = other != NULL && sources[k].common ? other->drawn[k]
                                                                : randoms_normal(&s->randoms);
    for (size_t d = 0; d < DAYS; d++)
        for (size_t k = from; k < to; k++)
            if (side->row_at[k] < ROWS && sources[k].kind == ERROR_SESSION)
                side->drawn_on[d][k] = other != NULL && sources[k].common
                                           ? other->drawn_on[d][k]
                                           : randoms_normal(&s->randoms);
}

static struct shifts shifts_on(const struct side *side, int64_t day)
{
    const struct error_registry *registry = &side->reductions[PROGRAM]->setup.errors;
    struct shifts shifts;
    memset(&shifts, 0, sizeof shifts);
    for (size_t k = 0; k < ROWS; k++) {
        if (side->row_at[k] == ROWS)
            continue;
        const struct error_source *row = &registry->rows[side->row_at[k]];
        shifts_add(&shifts, row,
                   row->u * (row->kind == ERROR_SESSION ? side->drawn_on[day][k] : side->drawn[k]));
    }
    return shifts;
}

/* The stated area errs the other way about: the efficiency is read as many times larger as the area
 * is too small. */
static void draw_points(struct study *s, struct side *side, const struct cell *cell, size_t from,
                        size_t to)
{
    for (size_t i = from; i < to; i++) {
        const struct means *exact = &side->exact[i];
        struct means *means = &side->means[i];
        struct shifts shifts = shifts_on(side, exact->session);
        *means = *exact;
        for (int c = 0; c < CH_LOGGED; c++)
            means->mean[c] = exact->mean[c] * (1 + shifts.gain[c]) + shifts.offset[c] +
                             cell->times * exact->u[c] * randoms_normal(&s->randoms);
        if (i < side->n)
            means->mean[CH_INCIDENCE] = 0; /* turned until it faces the sun */
        means->sun.diffuse_share = means->mean[CH_DIFFUSE] / means->mean[CH_IRRADIANCE];
        side->setup.area_m2 = STUDY_AREA_M2 * (1 + shifts.area);
    }
}

void study_draw(struct study *s, const struct cell *cell, uint64_t stream, uint64_t test)
{
    randoms_seed(&s->randoms, stream, test);
    memset(s->a.drawn, 0, sizeof s->a.drawn);
    draw_rows(s, &s->a, 0, OF_ANGLE);
    draw_points(s, &s->a, cell, 0, s->a.n);
    draw_rows(s, &s->a, OF_ANGLE, ROWS);
    draw_points(s, &s->a, cell, s->a.n, s->a.total);
    draw_rows(s, &s->b, 0, OF_ANGLE);
    draw_points(s, &s->b, cell, 0, s->b.n);
}
