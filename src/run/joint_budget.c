/* Which instrument gives how much to the efficiency at one T* and one angle: what the errors do to
 * curve and modifier at once, with their signs. */
#include "run/joint_view.h"

#include "fit/combine.h"
#include "run/words.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

static struct fit_joint_point place(const struct joint_view *view)
{
    const struct joint *j = view->joint;
    return (struct fit_joint_point){
        .curve.at = {.x = view_budget_x(&view->curve),
                     .g = view->curve.run->draw_at_W_m2,
                     .wind = j->e.draw_wind},
        .angle = modifier_budget_angle(&view->modifier),
        .diffuse_share = j->share_mean};
}

/* Out: band  of the efficiency there */
static void band_at(const struct joint *j, const struct fit_joint_point *at, const double *t,
                    struct fit_band *band)
{
    struct fit_parts parts = {.p = j->fit.n_coef,
                              .coef = j->fit.coef,
                              .reading = j->reading,
                              .session = j->session,
                              .calibration = j->common,
                              .reading_dof = j->e.scale_dof,
                              .session_dof = j->e.session_dof,
                              .calibration_dof = INFINITY};
    fit_band_curve(&parts, t, band);
    band->value = fit_joint_value(&j->fit, at);
}

static void rank_place(const struct joint_view *view, struct ranked *ranked, double *dof)
{
    const struct joint *j = view->joint;
    struct fit_joint_point at = place(view);
    double t[FIT_MAX_COEF];
    char x[WORDS_SIZE], angle[WORDS_SIZE];
    struct fit_band band;
    fit_joint_slopes(&j->fit, &at, t);
    band_at(j, &at, t, &band);
    ranked->word = "curve";
    snprintf(ranked->people, sizeof ranked->people, "η at T* %s m² K/W and %s",
             words_fixed(at.curve.at.x, 3, x, sizeof x),
             modifier_angle_words(&view->modifier, angle, sizeof angle));
    ranked->unit = "";
    ranked->value = band.value;
    ranked->u = band.u;
    ranked->half_95 = band.half_95;
    *dof = band.dof;
    ranked->sources[0] = (struct rank_source){RANK_READING, "readings of the points", "reading",
                                              "more windows average it down",
                                              sqrt(fit_variance(t, j->reading, j->fit.n_coef))};
    ranked->n =
        1 + error_parts_rank(&j->parts, j->fit.n_coef, t, ranked->sources + 1);
    rank_sort(ranked->sources, ranked->n);
}

static bool number(const struct joint_view *view, const struct ranked *ranked, double dof,
                   struct document *doc, struct faults *faults)
{
    struct fit_joint_point at = place(view);
    char id[160], label[240], x[WORDS_SIZE], angle[WORDS_SIZE], share[WORDS_SIZE];
    snprintf(id, sizeof id, "%s.at_angle", view->curve.prefix);
    snprintf(label, sizeof label,
             "efficiency at T* %s m² K/W, %.0f W/m² and %s off the normal, diffuse share %s",
             words_fixed(at.curve.at.x, 3, x, sizeof x), at.curve.at.g,
             modifier_angle_words(&view->modifier, angle, sizeof angle),
             words_fixed(at.diffuse_share, 2, share, sizeof share));
    return modifier_ranked_number(id, label, "eta", ranked, dof, doc, faults);
}

/* A mean knows no T*: what its errors do at an angle is said of K alone. */
bool joint_budget(const struct joint_view *view, struct document *doc, struct faults *faults)
{
    struct ranked ranked;
    double dof;
    if (view->joint->e.form->n_coef < 2)
        return modifier_budget(&view->modifier, NULL, doc, faults);
    ranked.sources = calloc(view->joint->parts.n + 1, sizeof *ranked.sources);
    if (ranked.sources == NULL)
        return fault_memory(faults);
    rank_place(view, &ranked, &dof);
    bool good = number(view, &ranked, dof, doc, faults) &&
                modifier_budget(&view->modifier, &ranked, doc, faults);
    free(ranked.sources);
    return good;
}
