#include "run/efficiency_draws.h"

#include "fit/bands.h"
#include "fit/combine.h"
#include "fit/redraw.h"
#include "run/efficiency_view.h"
#include "run/point_drawer.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* What every worker draws of. */
struct task {
    const struct efficiency *e;
    const struct point *points;
    const struct point_setup *setup;
    const struct error_registry *registry;
    double terms[DRAWS_PLACES][EFFICIENCY_COEFS];
};

struct worker {
    const struct task *task;
    struct point_drawer points;
    struct fit_point *moved;
};

/* The curve is looked at where the points begin, in the middle and where they end. */
void efficiency_draws_places(const struct efficiency *e, double g_W_m2, struct draws *out,
                             double terms[DRAWS_PLACES][EFFICIENCY_COEFS])
{
    out->g_W_m2 = g_W_m2;
    for (size_t k = 0; k < DRAWS_PLACES; k++) {
        double part = (double)k / (DRAWS_PLACES - 1);
        double x = e->design.least_x + part * (e->design.most_x - e->design.least_x);
        struct fit_condition at = {.x = x, .g = g_W_m2, .wind = e->draw_wind};
        out->x[k] = x;
        e->form->terms(&at, terms[k]);
    }
}

void efficiency_draws_coefs(const struct efficiency *e, struct draws *out)
{
    out->n_coef = e->form->n_coef;
    for (size_t j = 0; j < e->form->n_coef; j++) {
        const char *symbol = e->form->symbols[j];
        double u, dof;
        efficiency_combined(e, j, &u, &dof);
        struct draws_interval *coef =
            draws_add(out, e->curve.coef[j], u, fit_coverage_95(dof) * u);
        snprintf(coef->what, sizeof coef->what, "%s", symbol);
        snprintf(coef->people, sizeof coef->people, "%s", view_coef_people(symbol));
        coef->unit = view_coef_unit(symbol);
    }
}

void efficiency_draws_at(const struct efficiency *e, struct draws *out,
                         double terms[DRAWS_PLACES][EFFICIENCY_COEFS])
{
    struct fit_parts parts = efficiency_parts(e);
    for (size_t k = 0; k < DRAWS_PLACES; k++) {
        struct fit_band band;
        fit_band_curve(&parts, terms[k], &band);
        struct draws_interval *at = draws_add(out, band.value, band.u, band.half_95);
        snprintf(at->what, sizeof at->what, "efficiency %.0f K above the air",
                 out->x[k] * out->g_W_m2);
    }
}

struct point_drawer efficiency_drawer(const struct efficiency *e, const struct point *points,
                                      const struct point_setup *setup, bool equal_weights)
{
    return (struct point_drawer){.points = points,
                                 .index = e->index,
                                 .setup = setup,
                                 .n = e->n,
                                 .n_first = e->n,
                                 .groups = {{.scale_factor = e->scale_factor,
                                             .scale_dof = e->scale_dof,
                                             .equal_unit = equal_weights ? 1 : 0,
                                             .day_scatter = sqrt(fmax(0, e->days.extra)),
                                             .day_dof = e->session_dof}}};
}

static void close_worker(void *state)
{
    struct worker *worker = state;
    point_drawer_free(&worker->points);
    free(worker->moved);
    free(worker);
}

static void *open_worker(const void *of, struct faults *faults)
{
    const struct task *task = of;
    const struct efficiency *e = task->e;
    struct worker *worker = calloc(1, sizeof *worker);
    if (worker != NULL) {
        worker->task = task;
        worker->points = efficiency_drawer(e, task->points, task->setup,
                                           e->curve.equal_weights);
        worker->moved = calloc(e->n + 1, sizeof *worker->moved);
    }
    if (worker == NULL || worker->moved == NULL) {
        free(worker);
        fault_memory(faults);
        return NULL;
    }
    if (point_drawer_init(&worker->points, task->registry, faults))
        return worker;
    close_worker(worker);
    return NULL;
}

/* The weights stay: only the data move. */
static void move(struct worker *worker, size_t i)
{
    const struct task *task = worker->task;
    const struct point_value *value = &worker->points.values[i];
    struct fit_point *moved = &worker->moved[i];
    *moved = task->e->used[i];
    moved->eta = value->eta;
    moved->at.x = value->x;
    moved->at.g = value->g_W_m2;
    if (task->points[task->e->index[i]].means->has[CH_WIND])
        moved->at.wind = value->wind_m_s - task->setup->wind_origin_m_s;
}

/* What a form left out is no error of a reading: it moves the coefficients as in the linear
 * result. */
static void add_left_out(const struct efficiency *e, struct randoms *randoms, double *coef)
{
    double curvature = randoms_normal(randoms);
    for (size_t j = 0; j < e->form->n_coef; j++)
        coef[j] += curvature * e->d_curvature[j];
    for (size_t k = 0; k < e->n_extras; k++) {
        double z = randoms_normal(randoms);
        for (size_t j = 0; j < e->form->n_coef && !e->extras[k].session; j++)
            coef[j] += z * e->extras[k].d[j];
    }
}

static bool draw(void *state, struct randoms *randoms, double *numbers)
{
    struct worker *worker = state;
    const struct efficiency *e = worker->task->e;
    size_t p = e->form->n_coef;
    if (!point_drawer_draw(&worker->points, randoms))
        return false;
    for (size_t i = 0; i < e->n; i++)
        move(worker, i);
    if (fit_redraw(&e->curve, worker->moved, numbers) != FIT_OK)
        return false;
    add_left_out(e, randoms, numbers);
    for (size_t k = 0; k < DRAWS_PLACES; k++)
        numbers[p + k] = fit_dot(worker->task->terms[k], numbers, p);
    return true;
}

bool efficiency_draw(const struct efficiency *e, const struct point *points,
                     const struct point_setup *setup, const struct error_registry *registry,
                     const struct draws_request *request, double g_W_m2, struct draws *out,
                     struct faults *faults)
{
    struct task task = {.e = e, .points = points, .setup = setup, .registry = registry};
    struct draws_maker maker = {open_worker, draw, close_worker, &task, e->n};
    memset(out, 0, sizeof *out);
    efficiency_draws_places(e, g_W_m2, out, task.terms);
    efficiency_draws_coefs(e, out);
    efficiency_draws_at(e, out, task.terms);
    return draws_make(&maker, request, out, faults);
}
