#include "run/point_drawer.h"

#include "point/reading_errors.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static void compile(struct point_drawer *drawer, const struct error_source *row, struct pull *pull)
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

static double draw_one(struct point_drawer *drawer, const struct pull *pull)
{
    if (pull->rectangular)
        return randoms_flat(drawer->randoms);
    double z = randoms_normal(drawer->randoms);
    return isinf(pull->dof) ? z : z * randoms_t_factor(drawer->randoms, pull->dof);
}

static void add(const struct pull *pull, double z)
{
    for (size_t i = 0; i < pull->n_targets; i++)
        *pull->slot[i] += pull->by[i] * z;
}

static bool allocate(struct point_drawer *drawer, const struct error_registry *registry)
{
    size_t n = drawer->n + 1;
    drawer->common = calloc(registry->n + 1, sizeof *drawer->common);
    drawer->daily = calloc(registry->n + 1, sizeof *drawer->daily);
    drawer->own = calloc(n * reading_errors_count(registry), sizeof *drawer->own);
    drawer->own_from = calloc(n, sizeof *drawer->own_from);
    drawer->order = calloc(n, sizeof *drawer->order);
    drawer->values = calloc(n, sizeof *drawer->values);
    return drawer->common && drawer->daily && drawer->own && drawer->own_from && drawer->order &&
           drawer->values;
}

static const struct means *means_of(const struct point_drawer *drawer, size_t i)
{
    return drawer->points[drawer->index[i]].means;
}

/* Points of a session next to each other, otherwise as they come (they mostly are already). */
static void sort_by_session(struct point_drawer *drawer)
{
    for (size_t i = 0; i < drawer->n; i++) {
        size_t at = i;
        for (; at > 0 &&
               means_of(drawer, drawer->order[at - 1])->session > means_of(drawer, i)->session;
             at--)
            drawer->order[at] = drawer->order[at - 1];
        drawer->order[at] = i;
    }
}

static void compile_rows(struct point_drawer *drawer, const struct error_registry *registry)
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

static void compile_readings(struct point_drawer *drawer, const struct error_registry *registry)
{
    struct error_source row;
    size_t places = reading_errors_count(registry);
    size_t n = 0;
    for (size_t k = 0; k < drawer->n; k++) {
        size_t from = drawer->own_from[k] = n;
        for (size_t j = 0; j < places; j++) {
            if (!reading_error(means_of(drawer, drawer->order[k]), registry, j, &row))
                continue;
            compile(drawer, &row, &drawer->own[n]);
            n += !merged(drawer->own + from, n - from, &drawer->own[n]);
        }
    }
    drawer->own_from[drawer->n] = n;
}

bool point_drawer_init(struct point_drawer *drawer, const struct error_registry *registry,
                       struct faults *faults)
{
    if (!allocate(drawer, registry))
        return fault_memory(faults);
    sort_by_session(drawer);
    compile_rows(drawer, registry);
    compile_readings(drawer, registry);
    return true;
}

void point_drawer_free(struct point_drawer *drawer)
{
    free(drawer->common);
    free(drawer->daily);
    free(drawer->own);
    free(drawer->own_from);
    free(drawer->order);
    free(drawer->values);
    memset(drawer, 0, sizeof *drawer);
}

static void add_all(struct point_drawer *drawer, struct pull *pulls, size_t n, double factor)
{
    for (size_t i = 0; i < n; i++) {
        pulls[i].z = factor * draw_one(drawer, &pulls[i]);
        if (pulls[i].bounded == NULL)
            add(&pulls[i], pulls[i].z);
    }
}

/* The bounded ones that act on a point, as they were drawn. */
static void add_bounded(struct point_drawer *drawer, const struct means *means)
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
static void add_reduced(struct point_drawer *drawer, const struct means *means, double factor,
                        struct point_value *value)
{
    if (!means->reduced)
        return;
    value->eta += factor * means->u_eta * randoms_normal(drawer->randoms);
    value->x += factor * means->u_x * randoms_normal(drawer->randoms);
}

static size_t group_of(const struct point_drawer *drawer, size_t i)
{
    return i < drawer->n_first ? 0 : 1;
}

/* Point k of the order, under the shifts as they are and `factors` times its own reading errors. */
static bool draw_point(struct point_drawer *drawer, size_t k, const double *factors,
                       const double *day)
{
    size_t i = drawer->order[k], from = drawer->own_from[k], group = group_of(drawer, i);
    double factor = factors[group];
    const struct means *means = means_of(drawer, i);
    struct point_value *value = &drawer->values[i];
    if (drawer->any_bounded)
        add_bounded(drawer, means);
    add_all(drawer, drawer->own + from, drawer->own_from[k + 1] - from, factor);
    if (point_evaluate(means, drawer->setup, &drawer->shifts, value) != POINT_OK)
        return false;
    value->eta += day[group];
    add_reduced(drawer, means, factor, value);
    if (drawer->groups[group].equal_unit > 0)
        value->eta +=
            factor * drawer->groups[group].equal_unit * randoms_normal(drawer->randoms);
    return true;
}

static void draw_day(struct point_drawer *drawer, double *day)
{
    add_all(drawer, drawer->daily, drawer->n_daily, 1);
    for (size_t g = 0; g < POINT_DRAWER_GROUPS; g++) {
        const struct point_drawer_group *group = &drawer->groups[g];
        day[g] = 0;
        if (group->day_scatter > 0)
            day[g] = group->day_scatter * randoms_normal(drawer->randoms) *
                     randoms_t_factor(drawer->randoms, group->day_dof);
    }
}

/* The points from k on that share a session. Out: k of the next session. */
static bool draw_session(struct point_drawer *drawer, size_t *k, const double *factors)
{
    int64_t session = means_of(drawer, drawer->order[*k])->session;
    double day[POINT_DRAWER_GROUPS];
    draw_day(drawer, day);
    const struct shifts of_day = drawer->shifts;
    for (; *k < drawer->n && means_of(drawer, drawer->order[*k])->session == session; ++*k) {
        drawer->shifts = of_day;
        if (!draw_point(drawer, *k, factors, day))
            return false;
    }
    return true;
}

bool point_drawer_draw(struct point_drawer *drawer, struct randoms *randoms)
{
    double factors[POINT_DRAWER_GROUPS] = {0};
    size_t used = drawer->n_first < drawer->n ? 2 : 1;
    drawer->randoms = randoms;
    for (size_t g = 0; g < used; g++)
        factors[g] = sqrt(drawer->groups[g].scale_factor) *
                     randoms_t_factor(randoms, drawer->groups[g].scale_dof);
    memset(&drawer->shifts, 0, sizeof drawer->shifts);
    add_all(drawer, drawer->common, drawer->n_common, 1);
    const struct shifts of_test = drawer->shifts;
    for (size_t k = 0; k < drawer->n;) {
        drawer->shifts = of_test;
        if (!draw_session(drawer, &k, factors))
            return false;
    }
    return true;
}
