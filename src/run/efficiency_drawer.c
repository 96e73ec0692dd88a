#include "run/efficiency_drawer.h"

#include "fit/redraw.h"
#include "point/reading_errors.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static void compile(struct drawer *drawer, const struct error_source *row, struct pull *pull)
{
    pull->n_targets = row->n_targets;
    pull->rectangular = row->rectangular;
    pull->dof = row->dof;
    pull->bounded = row->bounded ? row : NULL;
    drawer->any_bounded |= row->bounded;
    for (size_t i = 0; i < row->n_targets; i++) {
        pull->slot[i] = shifts_slot(&drawer->shifts, &row->targets[i]);
        pull->by[i] = row->targets[i].weight * row->u;
    }
}

static double draw_one(struct drawer *drawer, const struct pull *pull)
{
    if (pull->rectangular)
        return randoms_flat(&drawer->randoms);
    double z = randoms_normal(&drawer->randoms);
    return isinf(pull->dof) ? z : z * randoms_t_factor(&drawer->randoms, pull->dof);
}

static void add(const struct pull *pull, double z)
{
    for (size_t i = 0; i < pull->n_targets; i++)
        *pull->slot[i] += pull->by[i] * z;
}

static bool allocate(struct drawer *drawer, const struct error_registry *registry)
{
    size_t n = drawer->e->n;
    drawer->common = calloc(registry->n + 1, sizeof *drawer->common);
    drawer->daily = calloc(registry->n + 1, sizeof *drawer->daily);
    drawer->own = calloc(n * reading_errors_count(registry), sizeof *drawer->own);
    drawer->own_from = calloc(n + 1, sizeof *drawer->own_from);
    drawer->order = calloc(n, sizeof *drawer->order);
    drawer->moved = calloc(n, sizeof *drawer->moved);
    return drawer->common && drawer->daily && drawer->own && drawer->own_from && drawer->order &&
           drawer->moved;
}

static const struct means *means_of(const struct drawer *drawer, size_t i)
{
    return drawer->points[drawer->e->index[i]].means;
}

/* Points of a session next to each other, otherwise as they come (they mostly are already). */
static void sort_by_session(struct drawer *drawer)
{
    for (size_t i = 0; i < drawer->e->n; i++) {
        size_t at = i;
        for (; at > 0 &&
               means_of(drawer, drawer->order[at - 1])->session > means_of(drawer, i)->session;
             at--)
            drawer->order[at] = drawer->order[at - 1];
        drawer->order[at] = i;
    }
}

static void compile_rows(struct drawer *drawer, const struct error_registry *registry)
{
    for (size_t k = 0; k < registry->n; k++) {
        const struct error_source *row = &registry->rows[k];
        if (!(row->u > 0))
            continue;
        if (row->kind == ERROR_CALIBRATION)
            compile(drawer, row, &drawer->common[drawer->n_common++]);
        else if (row->kind == ERROR_SESSION)
            compile(drawer, row, &drawer->daily[drawer->n_daily++]);
    }
}

/* Two normal errors of one target are drawn as one. */
static bool merged(struct pull *pulls, size_t n, const struct pull *pull)
{
    if (pull->n_targets != 1 || pull->rectangular || !isinf(pull->dof))
        return false;
    for (size_t i = 0; i < n; i++) {
        if (pulls[i].n_targets != 1 || pulls[i].rectangular || !isinf(pulls[i].dof) ||
            pulls[i].slot[0] != pull->slot[0])
            continue;
        pulls[i].by[0] = hypot(pulls[i].by[0], pull->by[0]);
        return true;
    }
    return false;
}

static void compile_readings(struct drawer *drawer, const struct error_registry *registry)
{
    struct error_source row;
    size_t places = reading_errors_count(registry);
    size_t n = 0;
    for (size_t k = 0; k < drawer->e->n; k++) {
        size_t from = drawer->own_from[k] = n;
        for (size_t j = 0; j < places; j++) {
            if (!reading_error(means_of(drawer, drawer->order[k]), registry, j, &row))
                continue;
            compile(drawer, &row, &drawer->own[n]);
            n += !merged(drawer->own + from, n - from, &drawer->own[n]);
        }
    }
    drawer->own_from[drawer->e->n] = n;
}

bool drawer_init(struct drawer *drawer, const struct efficiency *e, const struct point *points,
                 const struct point_setup *setup, const struct error_registry *registry,
                 struct faults *faults)
{
    memset(drawer, 0, sizeof *drawer);
    drawer->e = e;
    drawer->points = points;
    drawer->setup = setup;
    if (!randoms_init(&drawer->randoms, faults))
        return false;
    if (!allocate(drawer, registry))
        return fault_memory(faults);
    sort_by_session(drawer);
    compile_rows(drawer, registry);
    compile_readings(drawer, registry);
    drawer->day_scatter = sqrt(fmax(0, e->days.extra));
    return true;
}

void drawer_free(struct drawer *drawer)
{
    if (drawer->randoms.state != NULL)
        randoms_free(&drawer->randoms);
    free(drawer->common);
    free(drawer->daily);
    free(drawer->own);
    free(drawer->own_from);
    free(drawer->order);
    free(drawer->moved);
    memset(drawer, 0, sizeof *drawer);
}

static void add_all(struct drawer *drawer, struct pull *pulls, size_t n, double factor)
{
    for (size_t i = 0; i < n; i++) {
        pulls[i].z = factor * draw_one(drawer, &pulls[i]);
        if (pulls[i].bounded == NULL)
            add(&pulls[i], pulls[i].z);
    }
}

/* The bounded ones that act on a point, as they were drawn. */
static void add_bounded(struct drawer *drawer, const struct means *means)
{
    for (size_t i = 0; i < drawer->n_common; i++)
        if (drawer->common[i].bounded != NULL &&
            error_source_acts(drawer->common[i].bounded, means))
            add(&drawer->common[i], drawer->common[i].z);
    for (size_t i = 0; i < drawer->n_daily; i++)
        if (drawer->daily[i].bounded != NULL && error_source_acts(drawer->daily[i].bounded, means))
            add(&drawer->daily[i], drawer->daily[i].z);
}

/* A point typed as efficiency and T* has errors of these two. */
static void add_reduced(struct drawer *drawer, const struct means *means, double factor,
                        struct fit_point *moved)
{
    if (!means->reduced)
        return;
    moved->eta += factor * means->u_eta * randoms_normal(&drawer->randoms);
    moved->at.x += factor * means->u_x * randoms_normal(&drawer->randoms);
}

/* Point k of the order, under the shifts as they are and `factor` times its own reading errors. */
static bool draw_point(struct drawer *drawer, size_t k, double factor, double day)
{
    size_t i = drawer->order[k];
    size_t from = drawer->own_from[k];
    const struct means *means = means_of(drawer, i);
    struct fit_point *moved = &drawer->moved[i];
    struct point_value value;
    if (drawer->any_bounded)
        add_bounded(drawer, means);
    add_all(drawer, drawer->own + from, drawer->own_from[k + 1] - from, factor);
    if (point_evaluate(means, drawer->setup, &drawer->shifts, &value) != POINT_OK)
        return false;
    *moved = drawer->e->used[i]; /* the weights stay: only the data move */
    moved->eta = value.eta + day;
    moved->at.x = value.x;
    moved->at.g = value.g_W_m2;
    if (means->has[CH_WIND])
        moved->at.wind = value.wind_m_s - drawer->setup->wind_origin_m_s;
    add_reduced(drawer, means, factor, moved);
    if (drawer->e->curve.equal_weights)
        moved->eta += factor * randoms_normal(&drawer->randoms);
    return true;
}

/* The points from k on that share a session. Out: k of the next session. */
static bool draw_session(struct drawer *drawer, size_t *k, double factor)
{
    int64_t session = means_of(drawer, drawer->order[*k])->session;
    double day = 0;
    add_all(drawer, drawer->daily, drawer->n_daily, 1);
    if (drawer->day_scatter > 0)
        day = drawer->day_scatter * randoms_normal(&drawer->randoms) *
              randoms_t_factor(&drawer->randoms, drawer->e->session_dof);
    const struct shifts of_day = drawer->shifts;
    for (; *k < drawer->e->n && means_of(drawer, drawer->order[*k])->session == session; ++*k) {
        drawer->shifts = of_day;
        if (!draw_point(drawer, *k, factor, day))
            return false;
    }
    return true;
}

/* What a form left out is no error of a reading: it moves the coefficients as in the linear
 * result. */
static void add_left_out(struct drawer *drawer, double *coef)
{
    const struct efficiency *e = drawer->e;
    double curvature = randoms_normal(&drawer->randoms);
    for (size_t j = 0; j < e->form->n_coef; j++)
        coef[j] += curvature * e->d_curvature[j];
    for (size_t k = 0; k < e->n_extras; k++) {
        double z = randoms_normal(&drawer->randoms);
        for (size_t j = 0; j < e->form->n_coef && !e->extras[k].session; j++)
            coef[j] += z * e->extras[k].d[j];
    }
}

bool drawer_draw(struct drawer *drawer, double *coef)
{
    const struct efficiency *e = drawer->e;
    double factor = sqrt(e->scale_factor) * randoms_t_factor(&drawer->randoms, e->scale_dof);
    memset(&drawer->shifts, 0, sizeof drawer->shifts);
    add_all(drawer, drawer->common, drawer->n_common, 1);
    const struct shifts of_test = drawer->shifts;
    for (size_t k = 0; k < e->n;) {
        drawer->shifts = of_test;
        if (!draw_session(drawer, &k, factor))
            return false;
    }
    if (fit_redraw(&e->curve, drawer->moved, coef) != FIT_OK)
        return false;
    add_left_out(drawer, coef);
    return true;
}
