#include "study/plan_joint.h"

#include "fit/combine.h"
#include "run/joint.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* No more sunshine is planned than on a clear day, unless it was measured. */
#define PLAN_MOST_G_W_m2 1000.0

bool plan_is_joint(const struct run_section *run)
{
    return run->kind == RUN_MODIFIER && run->curve == CURVE_TOGETHER;
}

bool plan_joint_counts(const struct point *point)
{
    return isfinite(point->value.incidence_rad) && point->value.incidence_rad <= MODIFIER_MOST_RAD;
}

/* K 50 deg off the normal; what is new each day stands in `curve` of a modifier that was fitted so.
 */
static void take_k(const struct plan_scene *scene, const struct modifier *m,
                   struct plan_said *said)
{
    struct fit_angle at = {.theta_rad = PLAN_K_RAD};
    struct fit_band band = modifier_at(m, PLAN_K_RAD);
    double t[FIT_MAX_COEF];
    size_t q = m->fit.m.n;
    fit_modifier_slopes(&m->fit.m, &at, t);
    said->value = band.value;
    said->u = band.u;
    said->dof = band.dof;
    said->half = band.half_95;
    said->given = isfinite(said->half);
    if (!said->given)
        snprintf(said->why_not, sizeof said->why_not, "the scatter of so few points is not known");
    said->reading = fit_variance(t, m->reading, q);
    said->session = fit_variance(t, m->curve, q);
    for (size_t k = 0; k < m->n_shares; k++) {
        double u = fabs(fit_dot(t, m->shares[k].d, q));
        plan_note(scene, said, m->shares[k].row, u);
        if (m->shares[k].row->kind == ERROR_CALIBRATION)
            said->calibration += u * u;
    }
    said->left = fmax(0, fit_variance(t, m->common, q) - said->calibration);
}

bool plan_ask_joint(const struct plan_scene *scene, const struct plan_wish *wish,
                    const struct point *points, struct plan_said *said, struct faults *own)
{
    struct joint *joint = calloc(1, sizeof *joint);
    if (joint == NULL)
        return fault_memory(own);
    bool good = joint_fit(joint, points, scene->means->n, scene->setup, scene->errors,
                          &scene->request, scene->run->shape, own);
    if (good) {
        plan_take_curve(&joint->e, said);
        said->modifier = joint->m.fit.m;
        said->share_mean = joint->share_mean;
        if (wish->about == PLAN_K)
            take_k(scene, &joint->m, said);
        else
            plan_take(scene, &joint->e, wish, said);
        joint_free(joint);
    }
    free(joint);
    return good;
}

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double share_of(const struct means *means)
{
    double f = means->sun.diffuse_share;
    return means->sun.share == SHARE_UNKNOWN || !isfinite(f) ? 0 : fmin(fmax(f, 0), 1);
}

/* Long tests are thinned out. */
static double median_share(const struct means_list *list)
{
    enum { MOST = 999 };
    double values[MOST];
    size_t n = list->n < MOST ? list->n : MOST;
    for (size_t k = 0; k < n; k++)
        values[k] = share_of(&list->items[k * list->n / n]);
    qsort(values, n, sizeof *values, by_size);
    return 0.5 * (values[(n - 1) / 2] + values[n / 2]);
}

/* The share as the test knows it: of a diffuse sensor in the plane its reading; otherwise as if it
 * had been estimated, with the test's own uncertainty of it. */
static void set_share(struct means *means, const struct means *as, double share)
{
    means->sun.diffuse_share = share;
    means->sun.u_diffuse_share = as->sun.u_diffuse_share;
    bool sensor = as->sun.share == SHARE_MEASURED && as->sun.from == SHARE_FROM_PLANE &&
                  means->has[CH_DIFFUSE];
    means->sun.share = as->sun.share == SHARE_UNKNOWN ? SHARE_UNKNOWN
                       : sensor                       ? SHARE_MEASURED
                                                      : SHARE_ESTIMATED;
    means->sun.from = SHARE_FROM_PLANE;
    if (sensor)
        means->mean[CH_DIFFUSE] = share * means->mean[CH_IRRADIANCE];
}

void plan_joint_typical(struct plan_typical *typical, const struct means_list *list,
                        double *near_rad)
{
    struct means *means = &typical->means;
    double theta = means->mean[CH_INCIDENCE], share = median_share(list);
    double sunshine = PLAN_USUAL_BEAM * cos(theta) + 1 - PLAN_USUAL_BEAM;
    *near_rad = theta;
    for (size_t i = 0; i < list->n; i++)
        *near_rad = fmin(*near_rad, fabs(list->items[i].mean[CH_INCIDENCE]));
    sunshine = fmax(sunshine, typical->g_W_m2 / fmax(typical->g_W_m2, PLAN_MOST_G_W_m2));
    typical->g_W_m2 /= sunshine;
    means->mean[CH_IRRADIANCE] /= sunshine;
    typical->diffuse_share = share;
    set_share(means, &list->items[list->n / 2], share);
}
