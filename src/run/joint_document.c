/* Numbers and sentences of curve and modifier together. */
#include "run/joint_view.h"

#include "fit/combine.h"
#include "run/advice.h"
#include "run/draws_document.h"
#include "run/efficiency_points.h"
#include "run/joint_draws.h"
#include "run/words.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#define DEG (180 / M_PI)

static bool number_of_beam(const struct joint_view *view, struct document *doc,
                           struct faults *faults)
{
    struct fit_band band = joint_eta0_of_beam(view->joint);
    const struct draws_interval *drawn;
    char id[160];
    if (view->joint->e.form->n_coef < 2)
        return true;
    drawn = draws_preferred(view->curve.draws, joint_draws_beam(view->joint));
    snprintf(id, sizeof id, "%s.eta0_beam", view->curve.id);
    struct number made = {.id = id,
                          .label =
                              "efficiency for the beam alone, on the normal, with the fluid as "
                              "warm as the air",
                          .symbol = "eta0_beam",
                          .unit = "",
                          .value = band.value,
                          .u = band.u,
                          .low = drawn != NULL ? drawn->low : band.value - band.half_95,
                          .high = drawn != NULL ? drawn->high : band.value + band.half_95,
                          .dof = band.dof};
    return document_number(doc, &made, faults);
}

static bool basis(const struct joint_view *view, struct document *doc, struct faults *faults)
{
    const struct joint *j = view->joint;
    char count[64], beam[WORDS_SIZE], from[WORDS_SIZE], to[WORDS_SIZE];
    struct fit_band band = joint_eta0_of_beam(j);
    words_count(j->e.n, "point", count, sizeof count);
    words_pm(band.value, band.half_95, "", beam, sizeof beam);
    bool mean = j->e.form->n_coef == 1;
    return document_finding(
        doc, FINDING_DETAIL, false, faults,
        "Curve ('%s') and modifier ('%s') are fitted together from %s, %.1f to %.1f° off the "
        "normal and T* %s to %s m² K/W%s%s. Efficiencies in the curve's tables and pictures "
        "are brought to the normal and a diffuse share of %.2f by the fitted modifier.",
        j->e.form->name, fit_modifier_name(j->fit.m.form), count, j->spread.least_rad * DEG,
        j->spread.most_rad * DEG, words_fixed(j->spread.least_x, 4, from, sizeof from),
        words_fixed(j->spread.most_x, 4, to, sizeof to),
        mean ? "" : "; for the beam alone η₀ is ", mean ? "" : beam, j->share_mean);
}

/* What light the curve is for: it stands below the curve's own sentences. */
static bool holds_for(const struct joint_view *view, struct document *doc, struct faults *faults)
{
    const struct joint *j = view->joint;
    return document_finding(
        doc, FINDING_ANSWER, false, faults,
        "Both are fitted together from points %.0f to %.0f° off the normal; the curve holds for "
        "the sun on the normal and a diffuse share of %.2f, the mean of the points.",
        j->spread.least_rad * DEG, j->spread.most_rad * DEG, j->share_mean);
}

/* "b₀", "p", "K at 40°", or a coefficient of the curve. */
static const char *name_of(const struct joint *joint, size_t coef, char *out, size_t size)
{
    const struct fit_joint *fit = &joint->fit;
    if (coef < fit->p)
        snprintf(out, size, "%s", view_coef_people(joint->e.form->symbols[coef]));
    else if (fit->m.form == FIT_MODIFIER_B0 || fit->m.form == FIT_MODIFIER_TANGENT)
        snprintf(out, size, "%s", fit->m.form == FIT_MODIFIER_B0 ? "b₀" : "p");
    else
        snprintf(out, size, "K at %.0f°%s", fit->m.knot_rad[coef - fit->p] * DEG,
                 fit->m.form != FIT_MODIFIER_TWO_PLANES ? ""
                 : coef - fit->p < fit->m.n_along       ? " along"
                                                        : " across");
    return out;
}

/* "; a₁ and b₀ are correlated by −0.45", all errors counted; nothing for tables and without a1. */
static void said_correlation(const struct joint *joint, char *out, size_t size)
{
    const struct fit_joint *fit = &joint->fit;
    char name[32], by[WORDS_SIZE];
    out[0] = '\0';
    if (fit->p < 2 || fit->q > 1)
        return;
    double r = fit_correlation(joint->covariance, fit->n_coef, 1, fit->p);
    snprintf(out, size, "; a₁ and %s are correlated by %s",
             name_of(joint, fit->p, name, sizeof name), words_fixed(r, 2, by, sizeof by));
}

/* What it costs that neither is known, and how the points lie. */
static bool apart(const struct joint_view *view, struct document *doc, struct faults *faults)
{
    const struct joint *j = view->joint;
    const struct joint_spread *s = &j->spread;
    char name[32], wanted[400], lie[WORDS_SIZE], both[WORDS_SIZE + 40];
    size_t coef;
    double widest = joint_widest(&j->fit, &coef);
    bool doubt = widest > JOINT_WIDENED_MUCH;
    name_of(j, coef, name, sizeof name);
    words_fixed(s->together, 2, lie, sizeof lie);
    said_correlation(j, both, sizeof both);
    if (doubt)
        return document_finding(
            doc, FINDING_CANNOT, true, faults,
            "These points hardly tell the heat loss from the angle: fitted together, %s is known "
            "%.1f times less well than it would be with the other known (counted in the "
            "intervals%s). T* and 1/cos θ − 1 go together over the points (correlation %s). "
            "Needed: %s.",
            name, widest, both, lie, joint_wanted(s, wanted, sizeof wanted));
    return document_finding(
        doc, FINDING_DETAIL, false, faults,
        "The points tell heat loss and angle apart: fitted together, %s is known %.1f times less "
        "well than it would be with the other known (counted in the intervals%s; from %.0f times "
        "on they would hardly be told apart). Correlation of T* with 1/cos θ − 1: %s. Points with "
        "cool water %zu near the normal and %zu far off it, with hot water %zu and %zu (parted "
        "at T* %.4f and %.0f°).",
        name, widest, both, JOINT_WIDENED_MUCH, lie, s->corner[0][0], s->corner[0][1],
        s->corner[1][0], s->corner[1][1], s->mid_x, s->mid_rad * DEG);
}

/* What the result leans on beside the points. */
static bool leans(const struct joint_view *view, struct document *doc, struct faults *faults)
{
    const struct joint *j = view->joint;
    double least = j->spread.least_rad, near = view->curve.run->near_normal_rad;
    if (least > near &&
        !document_finding(doc, FINDING_CANNOT, false, faults,
                          "No point is nearer than %.1f° to the normal: what the collector yields "
                          "there is what the form of the modifier makes of the others.",
                          least * DEG))
        return false;
    if (j->e.form->n_coef == 1 &&
        !document_finding(
            doc, FINDING_CANNOT, true, faults,
            "These points show no heat loss. Where the sunshine is weaker at an angle "
            "the loss weighs more, and that passes for the modifier: what a loss of "
            "up to %.0f W/(m² K) could hide is counted. Measure at several "
            "temperatures.",
            JOINT_USUAL_A1))
        return false;
    if (j->m.share_unknown > 0 &&
        !document_finding(doc, FINDING_NOT_STATED, true, faults,
                          "The diffuse share of the sunshine is not known of %zu points: it counts "
                          "as nought there, and the modifier is that of all the sunshine.",
                          j->m.share_unknown))
        return false;
    if (view->beyond > 0 &&
        !document_finding(
            doc, FINDING_WINDOWS, true, faults,
            "%zu points beyond 85° are left aside: a degree is worth a quarter of the "
            "beam there.",
            view->beyond))
        return false;
    return view->without == 0 ||
           document_finding(doc, FINDING_WINDOWS, true, faults,
                            "The angle is not known of %zu points: they are left aside.",
                            view->without);
}

/* The one point that chance does not explain; it stays in. */
static bool outlier(const struct joint_view *view, struct document *doc, struct faults *faults)
{
    const struct efficiency *e = &view->joint->e;
    size_t worst = e->n;
    for (size_t k = 0; k < e->n; k++)
        if (view_chance_of(e, k) < 0.05 &&
            (worst == e->n || fabs(e->cases[k].deleted) > fabs(e->cases[worst].deleted)))
            worst = k;
    if (worst == e->n)
        return true;
    const char *name = view->curve.points[e->index[worst]].means->name;
    char off[WORDS_SIZE];
    return document_finding(
        doc, FINDING_ANSWER, true, faults,
        "Point '%s' lies off curve and modifier of the others: %s percentage points, %.1f times "
        "its uncertainty. What to do: %s? With a reason for it, and only then: 'leave out = %s, "
        "REASON' under [run %s].",
        name, words_signed(100 * e->cases[worst].residual, 1, off, sizeof off),
        fabs(e->cases[worst].deleted), advice_words(ADVICE_POINT, view->curve.reduction->from_log),
        name, view->curve.run->name);
}

bool joint_tell(const struct joint_view *view, struct document *doc, struct faults *faults)
{
    const struct efficiency_view *curve = &view->curve;
    return view_numbers(curve, doc, faults) && number_of_beam(view, doc, faults) &&
           modifier_numbers(&view->modifier, doc, faults) && view_doubts(curve, doc, faults) &&
           outlier(view, doc, faults) && view_answers(curve, doc, faults) &&
           modifier_sentences(&view->modifier, doc, faults) && holds_for(view, doc, faults) &&
           basis(view, doc, faults) && apart(view, doc, faults) && leans(view, doc, faults) &&
           view_idle(curve, doc, faults) && view_corrections(curve, doc, faults) &&
           view_storage(curve, doc, faults) && view_tables(curve, doc, faults) &&
           view_figures(curve, doc, faults) &&
           draws_tell(curve->draws, curve->id, curve->run, curve->e->n,
                      "The bands of curve and modifier", doc, faults) &&
           view_budget(curve, doc, faults) &&
           joint_budget(view, doc, faults) && modifier_tables(&view->modifier, doc, faults);
}

/* Mean angle, difference to the air and irradiance of the third of the range at one end. */
static void at_end(const struct joint_view *view, const struct joint_spread *s, bool hot,
                   struct point_value *mean)
{
    double third = (s->most_x - s->least_x) / 3;
    size_t n = 0;
    *mean = (struct point_value){.eta = 0};
    for (size_t i = 0; i < view->curve.n; i++) {
        const struct point *p = &view->curve.points[i];
        if (p->left_out || (hot ? p->value.x < s->most_x - third : p->value.x > s->least_x + third))
            continue;
        mean->incidence_rad += p->value.incidence_rad;
        mean->difference_K += p->value.difference_K;
        mean->g_W_m2 += p->value.g_W_m2;
        n++;
    }
    mean->incidence_rad /= (double)n;
    mean->difference_K /= (double)n;
    mean->g_W_m2 /= (double)n;
}

static bool say_rest(const struct joint_view *view, const struct efficiency *e,
                     const struct joint_spread *s, struct document *doc, struct faults *faults)
{
    struct efficiency_view as_they_are = view->curve;
    char share[2][WORDS_SIZE];
    struct point_value mean[2];
    as_they_are.e = e;
    for (int hot = 0; hot < 2; hot++) {
        struct view_bands bands;
        at_end(view, s, hot == 1, &mean[hot]);
        view_bands_at(&as_they_are, mean[hot].difference_K / mean[hot].g_W_m2, mean[hot].g_W_m2,
                      &bands);
        words_percent(bands.curve.value, bands.curve.half_95, share[hot], WORDS_SIZE);
    }
    return document_finding(
        doc, FINDING_ANSWER, false, faults,
        "What the points say all the same, angle and temperature as they were together: with the "
        "sun about %.0f° off the normal, at %.0f W/m² and %s %.0f K warmer than the air, it turns "
        "%s of the sunshine into heat; about %.0f° off, at %.0f W/m² and %.0f K, %s.",
        mean[0].incidence_rad * DEG, mean[0].g_W_m2, view_fluid(&view->curve), mean[0].difference_K,
        share[0], mean[1].incidence_rad * DEG, mean[1].g_W_m2, mean[1].difference_K, share[1]);
}

bool joint_tell_rest(const struct joint_view *view, const struct joint_spread *s,
                     struct document *doc, struct faults *faults)
{
    struct efficiency e;
    struct efficiency_request request = efficiency_request(view->curve.run);
    struct faults *own = malloc(sizeof *own);
    bool good = own != NULL || fault_memory(faults);
    if (!good || !(s->most_x > s->least_x)) {
        free(own);
        return good;
    }
    faults_init(own);
    request.form = "automatic";
    if (efficiency_fit(&e, view->curve.points, view->curve.n, view->curve.setup,
                       &view->curve.reduction->setup.errors, &request, own)) {
        good = say_rest(view, &e, s, doc, faults);
        efficiency_free(&e);
    } else if (own->worst == FAULT_MACHINE) {
        good = fault_memory(faults);
    }
    free(own);
    return good;
}
