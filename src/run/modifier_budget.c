/* Which instrument gives how much to the uncertainty of K at one angle. */
#include "run/modifier_view.h"

#include "fit/combine.h"
#include "run/words.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#define RAD (M_PI / 180)

/* Sources told by name under "uncertainty". */
enum { TOLD = 3 };

struct fit_angle modifier_budget_angle(const struct modifier_view *view)
{
    const struct run_section *run = view->run;
    if (view->m->fit.m.form == FIT_MODIFIER_TWO_PLANES)
        return run->budget_angle.at.given ? planes_across(run->budget_angle.value)
                                          : planes_told(view->m);
    return (struct fit_angle){.theta_rad = run->budget_angle.at.given ? run->budget_angle.value
                                                                      : view->told_deg * RAD};
}

const char *modifier_angle_words(const struct modifier_view *view, char *out, size_t size)
{
    double deg = modifier_budget_angle(view).theta_rad / RAD;
    char angle[WORDS_SIZE];
    bool planes = view->m->fit.m.form == FIT_MODIFIER_TWO_PLANES;
    words_fixed(deg, fabs(deg - round(deg)) < 0.05 ? 0 : 1, angle, sizeof angle);
    snprintf(out, size, "%s°%s", angle, planes ? " across the tubes" : "");
    return out;
}

size_t modifier_rank_most(const struct modifier *m)
{
    return m->parts.n + 2;
}

/* In a joint fit `curve` holds the days, which are parts of their own. */
size_t modifier_rank(const struct modifier_view *view, const double *t, struct rank_source *sources)
{
    const struct modifier *m = view->m;
    size_t n = 0, q = m->fit.m.n;
    sources[n++] = (struct rank_source){
        RANK_READING, view->together ? "readings of the points" : "readings of the points off the "
                                                                  "normal",
        "reading", "more windows average it down", sqrt(fit_variance(t, m->reading, q))};
    if (!view->together)
        sources[n++] = (struct rank_source){RANK_READING, "readings of the curve's points",
                                            "curve reading", "more windows near the normal",
                                            sqrt(fit_variance(t, m->curve, q))};
    n += error_parts_rank(&m->parts, q, t, sources + n);
    rank_sort(sources, n);
    return n;
}

/* K at the angle. In/out: ranked  its sources have room */
static void rank_k(const struct modifier_view *view, struct ranked *ranked)
{
    struct fit_angle at = modifier_budget_angle(view);
    struct fit_band band = modifier_at_angle(view->m, &at);
    double t[FIT_MAX_COEF];
    char angle[WORDS_SIZE];
    fit_modifier_slopes(&view->m->fit.m, &at, t);
    ranked->word = "K";
    snprintf(ranked->people, sizeof ranked->people, "K at %s",
             modifier_angle_words(view, angle, sizeof angle));
    ranked->unit = "";
    ranked->value = band.value;
    ranked->u = band.u;
    ranked->half_95 = band.half_95;
    ranked->n = modifier_rank(view, t, ranked->sources);
}

bool modifier_ranked_number(const char *id, const char *label, const char *symbol,
                            const struct ranked *ranked, double dof, struct document *doc,
                            struct faults *faults)
{
    struct part *parts = calloc(ranked->n + 1, sizeof *parts);
    if (parts == NULL)
        return fault_memory(faults);
    for (size_t i = 0; i < ranked->n; i++)
        parts[i] = (struct part){.id = (char *)ranked->sources[i].id,
                                 .label = (char *)ranked->sources[i].label,
                                 .u = ranked->sources[i].u};
    struct number made = {.id = (char *)id,
                          .label = (char *)label,
                          .symbol = (char *)symbol,
                          .unit = "",
                          .value = ranked->value,
                          .u = ranked->u,
                          .low = ranked->value - ranked->half_95,
                          .high = ranked->value + ranked->half_95,
                          .dof = dof,
                          .parts = parts,
                          .n_parts = ranked->n};
    bool good = document_number(doc, &made, faults);
    free(parts);
    return good;
}

/* Only where an angle is asked for: K_50 is there anyway. */
static bool number(const struct modifier_view *view, const struct ranked *ranked,
                   struct document *doc, struct faults *faults)
{
    struct fit_angle at = modifier_budget_angle(view);
    char id[160], label[160], angle[WORDS_SIZE];
    if (!view->run->budget_angle.at.given)
        return true;
    snprintf(id, sizeof id, "%s.K_at", view->id);
    snprintf(label, sizeof label, "incidence angle modifier %s off the normal",
             modifier_angle_words(view, angle, sizeof angle));
    return modifier_ranked_number(id, label, "K_at", ranked, modifier_at_angle(view->m, &at).dof,
                                  doc, faults);
}

/* Where an angle is asked for that no point stands at. */
static bool say_place(const struct modifier_view *view, struct document *doc, struct faults *faults)
{
    const struct modifier *m = view->m;
    double at = modifier_budget_angle(view).theta_rad;
    bool planes = m->fit.m.form == FIT_MODIFIER_TWO_PLANES;
    double most = planes ? m->plane_most_rad[1] : m->fit.most_rad;
    char angle[WORDS_SIZE];
    if (!view->run->budget_angle.at.given || at <= most + 1e-9)
        return true;
    return document_finding(
        doc, FINDING_UNCERTAINTY, true, faults,
        "%s ('budget angle') lies beyond the tested range, which ends at %.1f°: "
        "there the interval holds only if the form does.",
        modifier_angle_words(view, angle, sizeof angle), most / RAD);
}

static bool say_sources(const struct ranked *ranked, struct document *doc, struct faults *faults)
{
    struct text text = {0};
    for (size_t k = 0; k < ranked->n && k < TOLD && fabs(ranked->sources[k].u) > 0; k++)
        text_addf(&text, "%s%s (±%.4f)", k > 0 ? "; " : "", ranked->sources[k].label,
                  2 * fabs(ranked->sources[k].u));
    bool good = text_ok(&text, faults) &&
                (text.length == 0 ||
                 document_finding(doc, FINDING_UNCERTAINTY, false, faults,
                                  "Of %s most comes from: %s.", ranked->people,
                                  text_string(&text)));
    text_free(&text);
    return good;
}

bool modifier_sources(const struct modifier_view *view, struct document *doc, struct faults *faults)
{
    struct ranked ranked;
    ranked.sources = calloc(modifier_rank_most(view->m), sizeof *ranked.sources);
    if (ranked.sources == NULL)
        return fault_memory(faults);
    rank_k(view, &ranked);
    bool good = say_place(view, doc, faults) && say_sources(&ranked, doc, faults) &&
                number(view, &ranked, doc, faults);
    free(ranked.sources);
    return good;
}

/* K is nought there whatever the coefficients are, or it is 1: nothing to rank. */
static bool stands_still(const struct modifier_view *view, const struct ranked *ranked,
                         struct document *doc, struct faults *faults)
{
    char angle[WORDS_SIZE], k[WORDS_SIZE];
    if (!view->run->budget_angle.at.given)
        return true;
    return document_finding(doc, FINDING_UNCERTAINTY, true, faults,
                            "At %s ('budget angle') no error moves K: the form has it at %s there, "
                            "so that there are no sources to rank.",
                            modifier_angle_words(view, angle, sizeof angle),
                            words_fixed(ranked->value, 0, k, sizeof k));
}

bool modifier_budget(const struct modifier_view *view, const struct ranked *also,
                     struct document *doc, struct faults *faults)
{
    struct ranked all[2];
    char id[96];
    size_t n = 0;
    struct rank_source *room = calloc(modifier_rank_most(view->m), sizeof *room);
    if (room == NULL)
        return fault_memory(faults);
    all[0].sources = room;
    rank_k(view, &all[0]);
    bool good = all[0].u > 0 || stands_still(view, &all[0], doc, faults);
    n += all[0].u > 0 ? 1 : 0;
    if (also != NULL)
        all[n++] = *also;
    if (good && n > 0) {
        snprintf(id, sizeof id, "%s_angle_sources", view->id);
        good = ranked_file(id,
                           "Shift when the source moves by one standard uncertainty, found by "
                           "fitting again; share of the variance",
                           all, n, doc, faults);
        snprintf(id, sizeof id, "%s_angle_limits", view->id);
        good = good && ranked_named(id, "What limits the modifier most, and the cheapest cure",
                                    "share of the square of the standard uncertainty", TABLE_RESULT,
                                    all, n, doc, faults);
    }
    free(room);
    return good;
}
