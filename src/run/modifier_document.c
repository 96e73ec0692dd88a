/* Numbers and sentences of a modifier's run. */
#include "run/modifier_view.h"

#include "run/modifier_draws.h"
#include "run/modifier_entry.h"
#include "run/words.h"

#include <math.h>
#include <stdio.h>

#define RAD (M_PI / 180)

#define ONE_ANGLE_RAD (5 * RAD)

/* Pairs that differ by less are no matter whatever their readings say; our own figure. */
#define PAIR_MATTERS 0.01

bool modifier_numbers(const struct modifier_view *view, struct document *doc, struct faults *faults)
{
    const struct modifier *m = view->m;
    bool planes = m->fit.m.form == FIT_MODIFIER_TWO_PLANES;
    struct fit_band at_50 = modifier_at(m, 50 * RAD), sky = modifier_diffuse(m);
    if (planes ? !planes_numbers(view, doc, faults)
               : !modifier_number(view, "K_50", "incidence angle modifier 50° off the normal",
                                  &at_50, modifier_draws_k_50(m), doc, faults))
        return false;
    if (!modifier_number(view, "K_d", "modifier of light from the whole sky, by integration", &sky,
                         modifier_draws_k_d(m), doc, faults))
        return false;
    if (planes || m->fit.m.form == FIT_MODIFIER_TABLE)
        return true;
    bool b0 = m->fit.m.form == FIT_MODIFIER_B0;
    struct fit_band coef = modifier_coef(m, 0);
    return modifier_number(view, b0 ? "b0" : "p",
                           b0 ? "coefficient of K = 1 − b₀ (1/cos θ − 1)"
                              : "power of K = 1 − tan^p(θ/2)",
                           &coef, 0, doc, faults);
}

static bool answer(const struct modifier_view *view, struct document *doc, struct faults *faults)
{
    const struct modifier *m = view->m;
    char k[WORDS_SIZE], sky[WORDS_SIZE];
    if (m->fit.m.form == FIT_MODIFIER_TWO_PLANES)
        return planes_answer(view, doc, faults);
    struct fit_band told = modifier_at(m, view->told_deg * RAD), d = modifier_diffuse(m);
    return document_finding(doc, FINDING_ANSWER, false, faults,
                            "With the sun %.0f° off its normal the collector takes %s of the beam "
                            "that it would take on "
                            "it (incidence angle modifier K); of light from the whole sky %s (by "
                            "integration; beyond %.0f° the form alone says it).",
                            view->told_deg, words_percent(told.value, told.half_95, k, sizeof k),
                            words_percent(d.value, d.half_95, sky, sizeof sky),
                            m->fit.most_rad / RAD);
}

static bool form(const struct modifier_view *view, struct document *doc, struct faults *faults)
{
    const struct modifier *m = view->m;
    double least = m->fit.least_rad / RAD, most = m->fit.most_rad / RAD;
    char value[WORDS_SIZE];
    if (m->fit.m.form == FIT_MODIFIER_TWO_PLANES)
        return planes_form(view, doc, faults);
    struct fit_band coef = modifier_coef(m, 0);
    words_pm(coef.value, coef.half_95, "", value, sizeof value);
    if (m->fit.m.form == FIT_MODIFIER_B0)
        return document_finding(
            doc, FINDING_DETAIL, false, faults,
            "Modifier: K = 1 − b₀ (1/cos θ − 1), not below 0, with b₀ = %s, fitted from %.1f to "
            "%.1f°. b₀ above 0 is a modifier that falls; American tables print it with the other "
            "sign. It holds for that range: glass fitted over another gives another b₀.",
            value, least, most);
    if (m->fit.m.form == FIT_MODIFIER_TANGENT)
        return document_finding(doc, FINDING_DETAIL, false, faults,
                                "Modifier: K = 1 − tan^p(θ/2) with p = %s, fitted from %.1f to "
                                "%.1f°.",
                                value, least, most);
    return document_finding(doc, FINDING_DETAIL, false, faults,
                            "Modifier: a table at those multiples of 10° that points are near to, "
                            "straight between them, 1 at 0° and 0 at 90°; fitted from %.1f to "
                            "%.1f°.",
                            least, most);
}

/* Points at one angle give any form its one figure, and say nothing of the form. */
static bool one_angle(const struct modifier_view *view, struct document *doc, struct faults *faults)
{
    const struct fit_modifier_fit *fit = &view->m->fit;
    if (fit->most_rad - fit->least_rad > ONE_ANGLE_RAD)
        return true;
    return document_finding(
        doc, FINDING_CANNOT, true, faults,
        "All points off the normal lie at one angle (%.1f to %.1f°): K is known "
        "there; at others it is what the form makes of it. Measure at 30 to 60° "
        "in three steps or more.",
        fit->least_rad / RAD, fit->most_rad / RAD);
}

/* What the ratios rest on. */
static bool basis(const struct modifier_view *view, struct document *doc, struct faults *faults)
{
    const struct modifier *m = view->m;
    char from[WORDS_SIZE], k[WORDS_SIZE];
    words_count(m->n, "point", from, sizeof from);
    if (!document_finding(
            doc, FINDING_DETAIL, false, faults,
            "The modifier rests on %s, compared with a curve ('%s') of %zu that are "
            "%.1f to %.1f° off the normal: there K is %s by the same form. Mean diffuse "
            "share of the curve's points: %.2f.",
            from, view->e->form->name, view->e->n, m->near_least_rad / RAD, m->near_most_rad / RAD,
            words_fixed(fit_modifier_beam(&m->fit.m, &m->near.at), 3, k, sizeof k),
            m->near.diffuse_share))
        return false;
    if (view->e->form->n_coef == 1 &&
        !document_finding(doc, FINDING_CANNOT, true, faults,
                          "The points near the normal show no heat loss: the others count as if "
                          "measured at the same (fluid − air) ÷ sunshine. Measure them so, or the "
                          "curve at several temperatures."))
        return false;
    if (m->share_unknown > 0 &&
        !document_finding(doc, FINDING_NOT_STATED, true, faults,
                          "The diffuse share of the sunshine is not known of %zu points: it counts "
                          "as nought there, and the modifier is that of all the sunshine.",
                          m->share_unknown))
        return false;
    if (m->beyond > 0 &&
        !document_finding(
            doc, FINDING_WINDOWS, true, faults,
            "Left aside: %zu %s beyond 85°, where a degree is worth a quarter of the beam.",
            m->beyond, m->beyond == 1 ? "point" : "points"))
        return false;
    if (m->without_planes > 0 &&
        !document_finding(
            doc, FINDING_WINDOWS, true, faults,
            "The angles along the tubes and across them are not known of %zu points off "
            "the normal: they are left aside.",
            m->without_planes))
        return false;
    return m->without == 0 ||
           document_finding(doc, FINDING_WINDOWS, true, faults,
                            "The angle is not known of %zu points: they count as near the normal "
                            "in the curve.",
                            m->without);
}

static bool pairs_doubt(double mean, double half)
{
    return fabs(mean) > fmax(half, PAIR_MATTERS);
}

/* What a disagreement before and after noon says. */
static const char *pairs_say(double mean, double half)
{
    if (pairs_doubt(mean, half))
        return ": look at the clock, the direction that the collector faces, heat stored while it "
               "warms, and for a shadow in the morning or the evening.";
    if (fabs(mean) > half)
        return ": more than chance, too little to doubt clock, direction or storage.";
    return ": no more than chance, so clock, direction and storage pass this check.";
}

/* Mean of the pairs' disagreement, each as good as its u. */
static bool pairs(const struct modifier_view *view, struct document *doc, struct faults *faults)
{
    const struct modifier *m = view->m;
    double sum = 0, weight = 0;
    char off[WORDS_SIZE], count[64];
    for (size_t k = 0; k < m->n_pairs; k++) {
        double w = 1 / (m->pairs[k].u * m->pairs[k].u);
        sum += w * m->pairs[k].off;
        weight += w;
    }
    if (m->n_pairs == 0)
        return document_finding(
            doc, FINDING_DETAIL, false, faults,
            "No point before the sun's noon has one after it at its angle, on the "
            "same day: they would check clock, direction and heat storage.");
    double half = 2 / sqrt(weight), mean = sum / weight;
    bool doubt = pairs_doubt(mean, half);
    words_count(m->n_pairs, "pair", count, sizeof count);
    words_pm(fabs(mean), half, "", off, sizeof off);
    return document_finding(
        doc, doubt ? FINDING_NOT_STATED : FINDING_DETAIL, doubt, faults,
        "Before the sun's noon K is %s %s than after it, at the same angle (%s)%s", off,
        mean < 0 ? "smaller" : "larger", count, pairs_say(mean, half));
}

bool modifier_sentences(const struct modifier_view *view, struct document *doc,
                        struct faults *faults)
{
    return answer(view, doc, faults) && form(view, doc, faults) &&
           (view->together || (one_angle(view, doc, faults) && basis(view, doc, faults))) &&
           pairs(view, doc, faults) && modifier_sources(view, doc, faults);
}
