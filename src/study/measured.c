#include "study/measured.h"

#include "run/run.h"
#include "run/setup_stage.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const char *fact_of(const struct document *doc, const char *key)
{
    for (size_t i = 0; i < doc->n_facts; i++)
        if (text_same(doc->facts[i].group, "curve") && text_same(doc->facts[i].key, key))
            return doc->facts[i].value;
    return "";
}

static bool take_curve(const struct document *doc, struct measured *out)
{
    const struct fit_form *form = fit_form_find(fact_of(doc, "form"));
    if (form == NULL || doc->covariance == NULL || doc->n_curve != form->n_coef)
        return false;
    out->form = form;
    out->dof = INFINITY;
    for (size_t j = 0; j < form->n_coef; j++) {
        char id[64];
        snprintf(id, sizeof id, "curve.%s", form->symbols[j]);
        const struct number *number = document_find_number(doc, id);
        if (number == NULL)
            return false;
        out->coef[j] = number->value;
        out->u[j] = number->u;
        out->dof = fmin(out->dof, number->dof);
    }
    memcpy(out->covariance, doc->covariance, form->n_coef * form->n_coef * sizeof *out->covariance);
    return true;
}

static void take_idle(const struct document *doc, struct measured *out)
{
    const struct number *mean = document_find_number(doc, "idle.curve");
    const struct number *hot = document_find_number(doc, "idle.curve.hot");
    out->idle = mean != NULL && hot != NULL;
    if (!out->idle)
        return;
    out->idle_degC = mean->value;
    out->idle_u_K = mean->u;
    out->idle_safe_degC = hot->value;
}

static void say_why(const struct faults *faults, struct measured *out)
{
    snprintf(out->why_not, sizeof out->why_not, "the run gives no curve");
    for (size_t i = 0; i < faults->n; i++)
        if (faults->items[i].kind == FAULT_DATA) {
            snprintf(out->why_not, sizeof out->why_not, "%.390s", faults->items[i].found);
            return;
        }
}

/* In: own  faults of the run alone: what it lacks is said in words, not with the status */
static bool perform(const struct reduction *r, const struct run_section *run, struct measured *out,
                    struct faults *own, struct faults *faults)
{
    struct document doc;
    if (!document_init(&doc, "efficiency", "measured", faults))
        return false;
    run_row(run->kind)->perform(r, run, &doc, own);
    /* A form that the data could not hold has left the one that they do. */
    out->given = take_curve(&doc, out);
    if (out->given)
        take_idle(&doc, out);
    else
        say_why(own, out);
    document_free(&doc);
    return own->worst != FAULT_MACHINE || fault_memory(faults);
}

bool measured_of(const struct reduction *r, struct measured *out, struct faults *faults)
{
    memset(out, 0, sizeof *out);
    out->form = fit_form_find("second order");
    if (setup_untested(&r->setup)) {
        out->wind_origin_m_s = 3.0;
        out->basis = PLATE_MEAN;
        snprintf(out->why_not, sizeof out->why_not, "it was not tested yet");
        return true;
    }
    const struct run_section *run = &r->setup.runs[0];
    out->wind_origin_m_s = run->wind_origin_m_s;
    out->basis = run->temperature == TEMPERATURE_INLET ? PLATE_INLET : PLATE_MEAN;
    if (!run_gives_curve(run)) {
        snprintf(out->why_not, sizeof out->why_not, "the first run gives no curve");
        return true;
    }
    struct faults *own = malloc(sizeof *own);
    if (own == NULL)
        return fault_memory(faults);
    faults_init(own);
    bool good = perform(r, run, out, own, faults);
    free(own);
    return good;
}
