#include "run/reduction_document.h"
#include "run/words.h"

#include <math.h>
#include <string.h>

/* How far published tables of the mixture lie apart, and what is counted for it. An error stated
 * smaller than their spread (a limit, / sqrt 3) is marked. */
static bool say_spread(const struct fluid *fluid, struct document *doc, struct faults *faults)
{
    struct text text = {0};
    struct glycol_spread spread = glycol_spread(fluid->mixture.glycol, fluid->mixture.volume);
    bool known = isfinite(spread.cp);
    bool narrow = known && (fluid->u_cp < fabs(spread.cp) / sqrt(3.0) ||
                            fluid->u_density < fabs(spread.density) / sqrt(3.0));
    if (known)
        text_addf(
            &text,
            "Published tables of this mixture differ: between 0 and 40 °C Melinder (2010) "
            "lies up to %.1f %% %s ASHRAE (2001), which is used here, in specific heat and up to "
            "%.1f %% %s it in density.",
            100.0 * fabs(spread.cp), spread.cp < 0 ? "below" : "above",
            100.0 * fabs(spread.density), spread.density < 0 ? "below" : "above");
    else
        text_addf(&text, "No second published table reaches this mixture.");
    if (fluid->mixture.glycol == GLYCOL_PROPYLENE)
        text_addf(&text, " An older table of Melinder's lies up to 3.7 %% above in specific heat.");
    text_addf(&text,
              " Additives of a product change both. Counted, as standard uncertainties: %.3g %% of "
              "specific heat, %.3g %% of density, %.3g points of the fraction.%s",
              100.0 * fluid->u_cp, 100.0 * fluid->u_density, 100.0 * fluid->u_fraction,
              narrow ? " That is less than the tables differ by: it takes a certificate of the "
                       "very product."
                     : "");
    bool good = text_ok(&text, faults) &&
                document_finding(doc, FINDING_DETAIL, narrow, faults, "%s", text_string(&text));
    text_free(&text);
    return good;
}

static bool warn_of_glycol(const struct fluid *fluid, struct document *doc, struct faults *faults)
{
    struct text text = {0};
    char at[WORDS_SIZE];
    text_addf(&text, "Antifreeze: mix, fill and test it above freezing.");
    if (fluid->kind == FLUID_GLYCOL)
        text_addf(&text, " Pure, this mixture begins to freeze at about %s °C; measure a sample "
                         "from the loop before a winter rests on it.",
                  words_fixed(ceil(fluid->mixture.freezing_degC), 0, at, sizeof at));
    if (fluid->kind == FLUID_GLYCOL && fluid->mixture.glycol == GLYCOL_ETHYLENE)
        text_addf(&text,
                  " Ethylene glycol is poisonous, and it tastes sweet: keep it from "
                  "children and animals, and never use it where it can reach drinking water; there "
                  "only the propylene type may be used.");
    else
        text_addf(&text, " Where drinking water can be reached only the propylene type may be "
                         "used; ethylene glycol is poisonous.");
    text_addf(&text, " Overheated glycol turns acid and eats the circuit: test it after every "
                     "stagnation, replace it when it is dark or acid. Catch what is spilt; hot "
                     "glycol scalds, and it burns.");
    bool good = text_ok(&text, faults) && document_caution(doc, text_string(&text), faults);
    text_free(&text);
    return good;
}

/* No heat is formed where the fluid's figures do not reach: said once, with the range, because the
 * windows only say that readings were bad. */
static bool say_range(const struct reduction *r, struct document *doc, struct faults *faults)
{
    const struct log_channel *in = log_set_channel(&r->logs, CH_INLET);
    const struct log_channel *out = log_set_channel(&r->logs, CH_OUTLET);
    const struct fluid *fluid = &r->setup.fluid;
    if (!r->from_log)
        return true;
    double least_degC = fmin(in->least_si, out->least_si);
    double most_degC = fmax(in->most_si, out->most_si);
    if (!(least_degC < fluid->least_degC || most_degC > fluid->most_degC))
        return true;
    char from[WORDS_SIZE], to[WORDS_SIZE], low[WORDS_SIZE];
    return document_finding(doc, FINDING_CANNOT, false, faults,
                            "Inlet and outlet read %s to %s °C; the figures of %s hold from %s to "
                            "%.0f °C. From readings outside no heat is formed, and no window holds "
                            "any.",
                            words_fixed(least_degC, 1, from, sizeof from),
                            words_fixed(most_degC, 1, to, sizeof to), fluid->name,
                            words_fixed(fluid->least_degC, 1, low, sizeof low), fluid->most_degC);
}

bool reduction_fluid(const struct reduction *r, struct document *doc, struct faults *faults)
{
    const struct fluid *fluid = &r->setup.fluid;
    if (!say_range(r, doc, faults))
        return false;
    if (fluid->kind == FLUID_GLYCOL)
        return say_spread(fluid, doc, faults) && warn_of_glycol(fluid, doc, faults);
    /* A table tells of its fluid only by name. */
    return strcasestr(fluid->name, "glycol") == NULL || warn_of_glycol(fluid, doc, faults);
}
