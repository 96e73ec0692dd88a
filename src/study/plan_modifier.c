#include "study/plan_modifier.h"

#include "run/modifier.h"
#include "sky/incidence.h"
#include "study/plan_joint.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define SUN_TURNS_RAD_s 7.2921e-5
#define USUAL_TILT_RAD (45 * 0.017453292519943295)

/* The scatter of the ratios is held where some of them are planned. */
static void hold_ratios(const struct plan_scene *scene, struct modifier *m)
{
    size_t n = m->fit.m.n;
    if (scene->held_ratios == NULL)
        return;
    for (size_t k = 0; k < n * n; k++)
        m->reading[k] = m->fit.cov[k] * scene->held_ratios->scale_factor;
    m->scale_factor = scene->held_ratios->scale_factor;
    m->scale_dof = scene->held_ratios->scale_dof;
}

/* How K at the angle moves with each coefficient: the modifier's own bands do the same. */
static void slopes_of(const struct modifier *m, double *d)
{
    struct fit_angle at = {.theta_rad = PLAN_K_RAD};
    memset(d, 0, FIT_MAX_COEF * sizeof *d);
    fit_modifier_slopes(&m->fit.m, &at, d);
}

static double variance_of(const double *d, const double *cov, size_t n)
{
    double sum = 0;
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j < n; j++)
            sum += d[i] * cov[i * n + j] * d[j];
    return fmax(sum, 0);
}

static void take_parts(const struct plan_scene *scene, const struct modifier *m,
                       struct plan_said *said)
{
    double d[FIT_MAX_COEF];
    size_t n = m->fit.m.n;
    slopes_of(m, d);
    said->reading = variance_of(d, m->reading, n) + variance_of(d, m->curve, n);
    double days = 0;
    for (size_t k = 0; k < m->n_shares; k++) {
        double u = 0;
        for (size_t j = 0; j < n; j++)
            u += d[j] * m->shares[k].d[j];
        plan_note(scene, said, m->shares[k].row, fabs(u));
        if (m->shares[k].row->kind == ERROR_SESSION)
            days += u * u;
        else
            said->calibration += u * u;
    }
    said->session = days;
    said->left = fmax(0, variance_of(d, m->common, n) - days - said->calibration);
}

bool plan_ask_modifier(const struct plan_scene *scene, const struct efficiency *e,
                       const struct point *points, struct plan_said *said, struct faults *own)
{
    struct modifier m;
    enum fit_scale scale = scene->held_ratios != NULL ? FIT_SCALE_STATED : scene->request.scale;
    if (!modifier_fit(&m, e, points, scene->means->n, scene->setup, scene->errors,
                      scene->run->shape, scale, own))
        return false;
    hold_ratios(scene, &m);
    struct fit_band band = modifier_at(&m, PLAN_K_RAD);
    said->modifier = m.fit.m;
    said->seen_ratios = (struct efficiency_held){m.scale_factor, m.scale_dof, 0, INFINITY};
    said->value = band.value;
    said->u = band.u;
    said->dof = band.dof;
    said->half = band.half_95;
    said->given = isfinite(said->half);
    if (!said->given)
        snprintf(said->why_not, sizeof said->why_not,
                 "the scatter of so few points off the normal is not known");
    take_parts(scene, &m, said);
    modifier_free(&m);
    return true;
}

bool plan_is_oblique(const struct means *means, const struct run_section *run)
{
    return run->kind == RUN_MODIFIER && !plan_is_joint(run) && means->has[CH_INCIDENCE] &&
           means->mean[CH_INCIDENCE] > run->near_normal_rad;
}

void plan_typical_angles(struct plan_typical *typical, const struct reduction *r,
                         const struct fit_modifier *prior)
{
    const struct site *site = &r->setup.site;
    struct means *means = &typical->means;
    if (prior != NULL)
        typical->modifier = *prior;
    else
        typical->modifier =
            (struct fit_modifier){.form = FIT_MODIFIER_B0, .n = 1, .coef = {PLAN_USUAL_B0}};
    if (!means->has[CH_INCIDENCE])
        means->mean[CH_INCIDENCE] = PLAN_NEAR_RAD;
    means->has[CH_INCIDENCE] = true;
    means->sun.known = site_has_place(site);
    means->sun.plane_known = site->tilt_rad.at.given && site->azimuth_rad.at.given;
    means->sun.tilt_rad = site->tilt_rad.at.given ? site->tilt_rad.value : USUAL_TILT_RAD;
    means->sun.azimuth_rad = site->azimuth_rad.at.given ? site->azimuth_rad.value : M_PI;
    typical->latitude_rad = site_has_place(site) ? site->latitude_rad.value : USUAL_TILT_RAD;
}

/* The sun level beside the normal, on its way about the pole from east to west. */
static void place_sun(const struct plan_typical *typical, double theta_rad, struct means_sun *sun)
{
    struct plane plane = plane_of(sun->tilt_rad, sun->azimuth_rad);
    struct vector pole = {0, cos(typical->latitude_rad), sin(typical->latitude_rad)};
    struct vector at = vector_sum(cos(theta_rad), plane.normal, sin(theta_rad), plane.across);
    struct vector way = vector_cross(at, pole);
    const double place[] = {at.x, at.y, at.z}, speed[] = {way.x, way.y, way.z};
    for (size_t i = 0; i < 3; i++) {
        sun->at[i] = place[i];
        sun->per_s[i] = SUN_TURNS_RAD_s * speed[i];
    }
}

bool plan_window_oblique(const struct plan_typical *typical, const struct point_setup *setup,
                         double theta_rad, double rise_K, int64_t session, struct means *out)
{
    struct plan_typical turned = *typical;
    double sunshine = PLAN_USUAL_BEAM * cos(theta_rad) + 1 - PLAN_USUAL_BEAM;
    struct fit_angle at = {.theta_rad = theta_rad};
    turned.g_W_m2 *= sunshine;
    turned.means.mean[CH_IRRADIANCE] *= sunshine;
    turned.means.mean[CH_DIFFUSE] *= sunshine;
    turned.means.mean[CH_INCIDENCE] = theta_rad;
    turned.optics = fit_modifier_total(fit_modifier_beam(&typical->modifier, &at),
                                       fit_modifier_diffuse(&typical->modifier),
                                       typical->diffuse_share, 1, typical->share_mean);
    place_sun(typical, theta_rad, &turned.means.sun);
    return plan_window(&turned, setup, rise_K, session, out);
}
