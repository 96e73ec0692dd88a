/* What thermometers together say. */
#include "run/check_document.h"
#include "run/words.h"

#include <math.h>

static bool say_how(const struct check_result *result, struct document *doc, struct faults *faults)
{
    char length[32];
    double least = INFINITY, most = -INFINITY;
    for (size_t i = 0; i < result->n_probes; i++) {
        least = fmin(least, result->probes[i].mean_degC);
        most = fmax(most, result->probes[i].mean_degC);
    }
    double common = 1.96 * result->u_common_K;
    if (isnan(result->length_s))
        return document_finding(
            doc, FINDING_DETAIL, false, faults,
            "Thermometers together '%s': %zu readings typed by hand, means from "
            "%.2f to %.2f °C; what all share is known within ± %.2g K.",
            result->run->name, result->n, least, most, common);
    words_duration(result->length_s, length, sizeof length);
    return document_finding(
        doc, FINDING_DETAIL, false, faults,
        "Thermometers together '%s': %s of the log in %zu parts, means from %.2f "
        "to %.2f °C; what all share is known within ± %.2g K.",
        result->run->name, length, result->n, least, most, common);
}

bool run_thermometers_together(const struct reduction *r, const struct run_section *run,
                               struct document *doc, struct faults *faults)
{
    const struct check_result *result = check_result_of(r, run);
    if (!result->found)
        return check_not_found(result, faults);
    struct table *table = check_table(
        result,
        "All in one stirred bucket: how much each reads above the reference. u: standard "
        "uncertainty.",
        doc, faults);
    return table != NULL && check_probes_say(result, table, doc, faults) &&
           say_how(result, doc, faults) &&
           document_caution(
               doc,
               "Thermometers together: pull the plug of a heating rod before a hand or a "
               "wire goes into the bucket (mains beside water kills; residual-current "
               "device). Water above 50 °C scalds within seconds.",
               faults);
}
