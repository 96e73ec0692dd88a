#include "run/joint_draws.h"

#include "fit/combine.h"
#include "fit/joint_redraw.h"
#include "run/efficiency_draws.h"
#include "run/joint_job.h"
#include "run/modifier_draws.h"
#include "run/point_drawer.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* What every worker draws of. */
struct task {
    const struct joint *joint;
    const struct point *points;
    const struct point_setup *setup;
    const struct error_registry *registry;
    double terms[DRAWS_PLACES][EFFICIENCY_COEFS];
};

struct worker {
    const struct task *task;
    struct point_drawer points;
    struct fit_joint_point *moved;
};

static bool is_mean(const struct joint *joint)
{
    return joint->fit.p < 2;
}

size_t joint_draws_beam(const struct joint *joint)
{
    return joint->fit.p + modifier_draws_count(&joint->m);
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
    const struct efficiency *e = &task->joint->e;
    struct worker *worker = calloc(1, sizeof *worker);
    if (worker != NULL) {
        worker->task = task;
        worker->points = efficiency_drawer(e, task->points, task->setup,
                                           task->joint->fit.equal_weights);
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

/* What the form left out moves curve and modifier as in the linear result. */
static void add_left_out(const struct joint *joint, struct randoms *randoms, double *coef)
{
    for (size_t k = 0; k < joint->parts.n; k++) {
        const struct error_part *part = &joint->parts.list[k];
        if (part->kind != RANK_FORM)
            continue;
        double z = randoms_normal(randoms);
        for (size_t j = 0; j < joint->fit.n_coef; j++)
            coef[j] += z * part->d[j];
    }
}

/* Out: numbers  as joint_draw lists them; the first of them are the coefficients */
static void fill(const struct task *task, const double *coef, double *numbers)
{
    const struct joint *joint = task->joint;
    const struct fit_joint *fit = &joint->fit;
    size_t n = joint_draws_beam(joint);
    double f0 = fit->diffuse_share;
    struct fit_modifier m = fit->m;
    memcpy(m.coef, coef + fit->p, fit->q * sizeof *coef);
    memcpy(numbers, coef, fit->p * sizeof *coef);
    modifier_draws_values(&m, numbers + fit->p);
    if (is_mean(joint))
        return;
    double k_d = numbers[fit->p + modifier_draws_k_d(&joint->m)];
    numbers[n++] = coef[0] / (1 - f0 + k_d * f0);
    for (size_t k = 0; k < DRAWS_PLACES; k++)
        numbers[n + k] = fit_dot(task->terms[k], coef, fit->p);
}

static bool draw(void *state, struct randoms *randoms, double *numbers)
{
    struct worker *worker = state;
    const struct joint *joint = worker->task->joint;
    double coef[FIT_MAX_COEF];
    if (!point_drawer_draw(&worker->points, randoms))
        return false;
    for (size_t i = 0; i < joint->e.n; i++) {
        worker->moved[i] = joint->used[i]; /* the weights stay */
        joint_place(worker->task->setup, &worker->points.values[i], &worker->moved[i]);
    }
    if (fit_joint_redraw(&joint->fit, worker->moved, coef) != FIT_OK)
        return false;
    add_left_out(joint, randoms, coef);
    fill(worker->task, coef, numbers);
    return true;
}

static void add_beam(const struct joint *joint, struct draws *out)
{
    struct fit_band band = joint_eta0_of_beam(joint);
    struct draws_interval *beam = draws_add(out, band.value, band.u, band.half_95);
    snprintf(beam->what, sizeof beam->what, "eta0_beam");
    snprintf(beam->people, sizeof beam->people, "η₀ of the beam alone");
}

bool joint_draw(const struct joint *joint, const struct point *points,
                const struct point_setup *setup, const struct error_registry *registry,
                const struct draws_request *request, double g_W_m2, struct draws *out,
                struct faults *faults)
{
    struct task task = {.joint = joint, .points = points, .setup = setup, .registry = registry};
    struct draws_maker maker = {open_worker, draw, close_worker, &task,
                                modifier_draws_cost(joint->fit.m.form) * joint->e.n};
    memset(out, 0, sizeof *out);
    efficiency_draws_coefs(&joint->e, out);
    modifier_draws_numbers(&joint->m, out);
    if (!is_mean(joint)) {
        add_beam(joint, out);
        efficiency_draws_places(&joint->e, g_W_m2, out, task.terms);
        efficiency_draws_at(&joint->e, out, task.terms);
    }
    return draws_make(&maker, request, out, faults);
}
