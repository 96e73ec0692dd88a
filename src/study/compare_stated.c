/* What a comparison says of a published curve. */
#include "study/compare_view.h"

#include <math.h>
#include <stdio.h>

/* Adds ", " between the parts of a sentence. */
static void join(struct text *out, bool *first)
{
    text_add(out, *first ? "" : ", ");
    *first = false;
}

static bool say_steps(const struct compare_view *view, const struct tested *tested,
                      struct document *doc, struct faults *faults)
{
    const struct stated_curve *s = &tested->stated;
    const struct curve_section *from = &tested->section;
    struct text steps = {0};
    bool first = true;
    if (from->sunshine == SUNSHINE_BEAM) {
        join(&steps, &first);
        text_addf(&steps, "eta0 of the beam times %.4f (%.0f %% diffuse light, its modifier %.3f)",
                  s->sun_factor, 100 * from->share, from->diffuse_modifier.value);
    }
    if (from->reference != view->basis.area) {
        join(&steps, &first);
        text_addf(&steps, "coefficients times %.4f from the %s to the %s area", s->area_factor,
                  area_word(from->reference), area_word(view->basis.area));
    }
    if (s->k_m2K_W != 0) {
        join(&steps, &first);
        text_addf(&steps, "from the %s to the %s temperature at %.4g kg/s of %.0f J/(kg K)",
                  s->k_m2K_W > 0 ? "mean" : "inlet", s->k_m2K_W > 0 ? "inlet" : "mean",
                  from->mass_kg_s.value, from->heat_J_kgK);
        if (s->form->n_coef > 2)
            text_addf(&steps, " and %.0f W/m² (a refit, within %.1e)", view->g_W_m2, s->misfit);
    }
    bool good =
        document_finding(doc, FINDING_DETAIL, false, faults, "'%s' brought to this basis: %s.",
                         tested->name, first ? "it is of this basis" : text_string(&steps)) &&
        text_ok(&steps, faults);
    text_free(&steps);
    return good;
}

static bool say_source(const struct tested *tested, struct document *doc, struct faults *faults)
{
    const struct curve_section *from = &tested->section;
    return document_finding(
        doc, FINDING_DETAIL, false, faults,
        "'%s' was not tested here: %s. Form '%s'%s%s, range %s. Its errors count "
        "as independent of all others and of each other; their correlation is not "
        "stated, and mostly it would make the middle of the band narrower.",
        tested->name, from->source.text, tested->stated.form->name,
        from->fluid.at.given ? ", " : "", from->fluid.text,
        from->range.at.given ? "as stated" : "not stated (that of the others)");
}

static bool say_unknown(const struct tested *tested, struct document *doc, struct faults *faults)
{
    struct text what = {0};
    bool first = true;
    for (size_t k = 0; k < tested->stated.n_unknown; k++) {
        join(&what, &first);
        text_add(&what, tested->stated.unknown[k].what);
    }
    bool good =
        first || document_finding(doc, FINDING_NOT_STATED, true, faults,
                                  "'%s' states no error of %s: that part is unknown, and its "
                                  "bands and differences are lower bounds.",
                                  tested->name, text_string(&what));
    good = good && text_ok(&what, faults);
    text_free(&what);
    return good;
}

bool compare_stated(const struct compare_view *view, const struct tested *tested,
                    struct document *doc, struct faults *faults)
{
    return say_source(tested, doc, faults) && say_steps(view, tested, doc, faults) &&
           say_unknown(tested, doc, faults);
}
