#include "run/modifier_draws.h"

#include "run/modifier_job.h"
#include "run/point_drawer.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define RAD (M_PI / 180)

/* A turn of curve and modifier leaves a tenth of what is wrong: what moves by less than this part
 * of a standard uncertainty is settled to a thousandth of one. */
#define SETTLED_SHARE 1e-2

/* A draw forms each point once and fits it some times over. Both figures are half of what was
 * measured: such a run may take two seconds on one core. K of the sky is an integral but for b0. */
enum { OF_B0 = 2, OF_OTHERS = 8 };

/* What every worker draws of. */
struct task {
    const struct modifier *m;
    const struct efficiency *e;
    const struct point *points;
    const struct point_setup *setup;
    const struct error_registry *registry;
    size_t *index; /* the curve's points, then the others */
    double settled;
};

struct worker {
    const struct task *task;
    struct point_drawer points;
    struct modifier_job job;
};

static bool planes(const struct fit_modifier *m)
{
    return m->form == FIT_MODIFIER_TWO_PLANES;
}

size_t modifier_draws_k_50(const struct modifier *m)
{
    return m->fit.m.n;
}

size_t modifier_draws_k_d(const struct modifier *m)
{
    return m->fit.m.n + (planes(&m->fit.m) ? 2 : 1);
}

size_t modifier_draws_count(const struct modifier *m)
{
    return modifier_draws_k_d(m) + 1;
}

size_t modifier_draws_cost(enum fit_modifier_form form)
{
    return form == FIT_MODIFIER_B0 ? OF_B0 : OF_OTHERS;
}

static struct fit_angle at_50(const struct fit_modifier *m, int plane)
{
    return (struct fit_angle){.theta_rad = 50 * RAD,
                              .along_rad = planes(m) && plane == 0 ? 50 * RAD : 0,
                              .across_rad = planes(m) && plane == 1 ? 50 * RAD : 0};
}

static void add(struct draws *out, const struct fit_band *band, const char *what,
                const char *people)
{
    struct draws_interval *interval = draws_add(out, band->value, band->u, band->half_95);
    snprintf(interval->what, sizeof interval->what, "%s", what);
    snprintf(interval->people, sizeof interval->people, "%s", people);
}

static void add_coef(const struct modifier *m, size_t j, struct draws *out)
{
    const struct fit_modifier *fitted = &m->fit.m;
    struct fit_band band = modifier_coef(m, j);
    char what[DRAWS_WHAT], people[DRAWS_WHAT];
    const char *plane = !planes(fitted) ? "" : j < fitted->n_along ? " along" : " across";
    if (fitted->form == FIT_MODIFIER_B0 || fitted->form == FIT_MODIFIER_TANGENT) {
        bool b0 = fitted->form == FIT_MODIFIER_B0;
        add(out, &band, b0 ? "b0" : "p", b0 ? "b₀" : "p");
        return;
    }
    snprintf(what, sizeof what, "figure of the table at %.0f deg%s", fitted->knot_rad[j] / RAD,
             plane);
    snprintf(people, sizeof people, "the table's K at %.0f°%s", fitted->knot_rad[j] / RAD, plane);
    add(out, &band, what, people);
}

void modifier_draws_numbers(const struct modifier *m, struct draws *out)
{
    for (size_t j = 0; j < m->fit.m.n; j++)
        add_coef(m, j, out);
    for (int plane = 0; plane < (planes(&m->fit.m) ? 2 : 1); plane++) {
        struct fit_angle at = at_50(&m->fit.m, plane);
        struct fit_band band = modifier_at_angle(m, &at);
        const char *word = !planes(&m->fit.m) ? "" : plane == 0 ? " along" : " across";
        char what[DRAWS_WHAT], people[DRAWS_WHAT];
        snprintf(what, sizeof what, "K 50 deg off the normal%s", word);
        snprintf(people, sizeof people, "K at 50°%s", word);
        add(out, &band, what, people);
    }
    struct fit_band sky = modifier_diffuse(m);
    add(out, &sky, "K of light from the whole sky", "K of light from the whole sky");
}

void modifier_draws_values(const struct fit_modifier *m, double *numbers)
{
    size_t n = m->n;
    memcpy(numbers, m->coef, n * sizeof *numbers);
    for (int plane = 0; plane < (planes(m) ? 2 : 1); plane++) {
        struct fit_angle at = at_50(m, plane);
        numbers[n++] = fit_modifier_beam(m, &at);
    }
    numbers[n] = fit_modifier_diffuse(m);
}

static void close_worker(void *state)
{
    struct worker *worker = state;
    point_drawer_free(&worker->points);
    free(worker->job.near);
    free(worker->job.stand);
    free(worker->job.moved);
    free(worker);
}

/* The values are those of the drawer, in its order. */
static bool open_job(struct worker *worker)
{
    const struct task *task = worker->task;
    struct modifier_job *job = &worker->job;
    *job = (struct modifier_job){.out = (struct modifier *)task->m, /* only looked at */
                                 .e = task->e,
                                 .points = task->points,
                                 .setup = task->setup,
                                 .registry = task->registry,
                                 .form = task->m->fit.m.form,
                                 .settled = task->settled,
                                 .drawn = true};
    job->near = calloc(task->e->n + 1, sizeof *job->near);
    job->stand = calloc(task->e->n + 1, sizeof *job->stand);
    job->moved = calloc(task->m->n + 1, sizeof *job->moved);
    return job->near && job->stand && job->moved;
}

static struct point_drawer points_of(const struct task *task)
{
    const struct efficiency *e = task->e;
    const struct modifier *m = task->m;
    return (struct point_drawer){
        .points = task->points,
        .index = task->index,
        .setup = task->setup,
        .n = e->n + m->n,
        .n_first = e->n,
        .groups = {{.scale_factor = e->scale_factor,
                    .scale_dof = e->scale_dof,
                    .equal_unit = e->curve.equal_weights ? 1 : 0,
                    .day_scatter = sqrt(fmax(0, e->days.extra)),
                    .day_dof = e->session_dof},
                   {.scale_factor = m->scale_factor,
                    .scale_dof = m->scale_dof,
                    .equal_unit = m->fit.equal_weights ? fabs(e->curve.coef[0]) : 0}}};
}

static void *open_worker(const void *of, struct faults *faults)
{
    struct worker *worker = calloc(1, sizeof *worker);
    if (worker == NULL) {
        fault_memory(faults);
        return NULL;
    }
    worker->task = of;
    if (!open_job(worker)) {
        fault_memory(faults);
        close_worker(worker);
        return NULL;
    }
    worker->points = points_of(worker->task);
    if (point_drawer_init(&worker->points, worker->task->registry, faults)) {
        worker->job.near_values = worker->points.values;
        worker->job.values = worker->points.values + worker->task->e->n;
        memcpy(worker->job.moved, worker->task->m->used,
               worker->task->m->n * sizeof *worker->job.moved);
        return worker;
    }
    close_worker(worker);
    return NULL;
}

/* What the curve's form left out moves its coefficients as in the linear result. */
static void draw_left_out(const struct efficiency *e, struct randoms *randoms, double *by)
{
    double curvature = randoms_normal(randoms);
    for (size_t j = 0; j < e->form->n_coef; j++)
        by[j] = curvature * e->d_curvature[j];
    for (size_t k = 0; k < e->n_extras; k++) {
        double z = randoms_normal(randoms);
        for (size_t j = 0; j < e->form->n_coef && !e->extras[k].session; j++)
            by[j] += z * e->extras[k].d[j];
    }
}

static bool draw(void *state, struct randoms *randoms, double *numbers)
{
    struct worker *worker = state;
    const struct task *task = worker->task;
    struct modifier_state begun = {
        .m = task->m->fit.m, .known = true, .eta0 = task->e->curve.coef[0]};
    struct fit_modifier_near near;
    struct fit_modifier_fit fit;
    double by[EFFICIENCY_COEFS];
    if (!point_drawer_draw(&worker->points, randoms))
        return false;
    draw_left_out(task->e, randoms, by);
    if (modifier_settle_values(&worker->job, by, &begun, &near, &fit) != FIT_OK)
        return false;
    modifier_draws_values(&fit.m, numbers);
    return true;
}

static double settled(const struct modifier *m)
{
    double least = INFINITY;
    for (size_t j = 0; j < m->fit.m.n; j++) {
        struct fit_band band = modifier_coef(m, j);
        if (band.u > 0)
            least = fmin(least, band.u);
    }
    return isfinite(least) ? SETTLED_SHARE * least : MODIFIER_SETTLED;
}

bool modifier_draw(const struct modifier *m, const struct efficiency *e, const struct point *points,
                   const struct point_setup *setup, const struct error_registry *registry,
                   const struct draws_request *request, struct draws *out, struct faults *faults)
{
    struct task task = {.m = m,
                        .e = e,
                        .points = points,
                        .setup = setup,
                        .registry = registry,
                        .settled = settled(m)};
    struct draws_maker maker = {open_worker, draw, close_worker, &task,
                                modifier_draws_cost(m->fit.m.form) * (e->n + m->n)};
    memset(out, 0, sizeof *out);
    modifier_draws_numbers(m, out);
    task.index = calloc(e->n + m->n + 1, sizeof *task.index);
    if (task.index == NULL)
        return fault_memory(faults);
    memcpy(task.index, e->index, e->n * sizeof *task.index);
    for (size_t i = 0; i < m->n; i++)
        task.index[e->n + i] = m->points[i].index;
    bool good = draws_make(&maker, request, out, faults);
    free(task.index);
    return good;
}
