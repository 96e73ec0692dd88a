#include "study/plan_said.h"

#include "fit/bands.h"
#include "fit/combine.h"
#include "fit/distributions.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* The terms of the answer: what multiplies each coefficient. Returns: false if the form has none.
 */
static bool terms_of(const struct efficiency *e, const struct plan_wish *wish, double *t)
{
    size_t p = e->form->n_coef;
    memset(t, 0, EFFICIENCY_COEFS * sizeof *t);
    if (p < 2)
        return false; /* a mean knows one temperature alone */
    if (wish->about == PLAN_A1) {
        t[1] = 1;
        return true;
    }
    struct fit_condition at = {.x = wish->about == PLAN_ETA0 ? 0 : wish->rise_K / wish->g_W_m2,
                               .g = wish->g_W_m2,
                               .wind = e->draw_wind};
    e->form->terms(&at, t);
    return true;
}

static bool is_own(const struct error_source *row)
{
    enum shift_target what = row->targets[0].what;
    return what == SHIFT_AREA || what == SHIFT_CAPACITY || what == SHIFT_MOUNTING ||
           what == SHIFT_PIPE || what == SHIFT_LOSS || what == SHIFT_LOSS_SLOPE;
}

void plan_note(const struct plan_scene *scene, struct plan_said *said,
               const struct error_source *row, double u)
{
    if (scene->row_u != NULL)
        scene->row_u[row - scene->errors->rows] = u;
    size_t at = said->n_top;
    while (at > 0 && said->top[at - 1].u < u)
        at--;
    if (at >= PLAN_TOPS || !(u > 0))
        return;
    size_t last = said->n_top < PLAN_TOPS ? said->n_top++ : PLAN_TOPS - 1;
    for (size_t k = last; k > at; k--)
        said->top[k] = said->top[k - 1];
    struct plan_top *top = &said->top[at];
    memcpy(top->id, row->id, sizeof top->id);
    memcpy(top->label, row->label, sizeof top->label);
    memcpy(top->cure, row->cure, sizeof top->cure);
    top->kind = row->kind;
    top->u = u;
}

/* What one row does to the answer; session by session where it is new each day. */
static double share_u(const struct efficiency *e, const struct efficiency_share *share,
                      const double *t)
{
    size_t p = e->form->n_coef;
    if (share->row->kind != ERROR_SESSION)
        return fabs(fit_dot(t, share->d, p));
    double sum = 0;
    for (size_t i = 0; i < e->n_daily; i++)
        if (e->daily[i].row == share->row)
            sum += pow(fit_dot(t, e->daily[i].d, p), 2);
    return sqrt(sum);
}

static void take_parts(const struct plan_scene *scene, const struct efficiency *e, const double *t,
                       struct plan_said *said)
{
    size_t p = e->form->n_coef;
    said->reading = fit_variance(t, e->reading, p);
    said->session = fit_variance(t, e->session, p);
    said->calibration = fit_variance(t, e->calibration, p);
    said->left = fmax(0, fit_variance(t, e->common, p) - said->calibration);
    for (size_t k = 0; k < e->n_shares; k++) {
        double u = share_u(e, &e->shares[k], t);
        plan_note(scene, said, e->shares[k].row, u);
        if (e->shares[k].row->kind == ERROR_CALIBRATION && is_own(e->shares[k].row))
            said->own += u * u;
    }
}

void plan_take_curve(const struct efficiency *e, struct plan_said *said)
{
    said->form = e->form;
    said->draw_wind = e->draw_wind;
    memcpy(said->coef, e->curve.coef, sizeof said->coef);
    said->equal_weights = e->curve.equal_weights;
    said->seen = (struct efficiency_held){e->scale_factor, e->scale_dof, e->days.extra,
                                          e->days.seen.between_dof};
}

void plan_take(const struct plan_scene *scene, const struct efficiency *e,
               const struct plan_wish *wish, struct plan_said *said)
{
    double t[EFFICIENCY_COEFS];
    said->given = terms_of(e, wish, t);
    if (!said->given) {
        snprintf(
            said->why_not, sizeof said->why_not,
            "a mean efficiency is all that they hold, which says nothing of other temperatures");
        return;
    }
    struct fit_parts parts = efficiency_parts(e);
    struct fit_band band;
    fit_band_curve(&parts, t, &band);
    said->value = fit_dot(t, e->curve.coef, e->form->n_coef);
    said->u = band.u;
    said->dof = band.dof;
    if (wish->about != PLAN_CURVE)
        efficiency_combined(e, wish->about == PLAN_A1 ? 1 : 0, &said->u, &said->dof);
    said->half = fit_coverage_95(said->dof) * said->u;
    said->given = isfinite(said->half);
    if (!said->given)
        snprintf(said->why_not, sizeof said->why_not, "the scatter of so few points is not known");
    take_parts(scene, e, t, said);
}

double plan_least_difference(const struct plan_said *said, bool shared)
{
    double one = said->u * said->u;
    if (shared)
        one -= said->calibration - said->own;
    double u = sqrt(2 * fmax(one, 0));
    return (fit_coverage_95(said->dof) + fit_t_quantile(0.8, said->dof)) * u;
}
