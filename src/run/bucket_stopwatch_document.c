/* What bucket and stopwatch say. */
#include "run/check_document.h"
#include "run/words.h"

#include <math.h>
#include <stdio.h>

#define GAIN_BEYOND 3.0
#define LITRE 1e-3

static bool say_gain(const struct check_result *result, const struct instrument *in,
                     struct document *doc, struct faults *faults)
{
    const struct check_meter *meter = &result->meter;
    char value[WORDS_SIZE], before[WORDS_SIZE], pulse[WORDS_SIZE] = "", fills[32];
    double off = meter->gain - 1;
    double half = check_half_95(meter->u, meter->dof, meter->u_left);
    words_percent(fabs(off), half, value, sizeof value);
    if (meter->u_before > 0)
        snprintf(before, sizeof before, "± %.2g %% before", 196 * meter->u_before);
    else
        snprintf(before, sizeof before, "not known before");
    if (in->m3_per_pulse.at.given) {
        bool applied = result->run->check.applied;
        double now = in->m3_per_pulse.value / LITRE * (applied ? 1 : meter->gain);
        snprintf(pulse, sizeof pulse, ", %.5g L a pulse", now);
    }
    words_count(result->n, "fill", fills, sizeof fills);
    return document_finding(doc, FINDING_CHECKS, false, faults,
                            "Through '%s' comes %s %s than it shows%s%s; %s (%s, bucket and "
                            "stopwatch '%s').",
                            in->name, value, off < 0 ? "less" : "more", pulse,
                            result->run->check.applied ? ", which is corrected"
                                                       : ", which is not corrected ('apply = no')",
                            before, fills, result->run->name);
}

static bool say_doubts(const struct check_result *result, const struct instrument *in,
                       struct document *doc, struct faults *faults)
{
    const struct check_meter *meter = &result->meter;
    if (meter->counts_stated &&
        !document_finding(
            doc, FINDING_DETAIL, false, faults,
            "The fills of '%s' scatter less than the stopwatch and the last pulse must: "
            "these count instead.",
            result->run->name))
        return false;
    if (!(meter->u_before > 0) || fabs(meter->gain - 1) < GAIN_BEYOND * meter->u_before)
        return true;
    return document_finding(
        doc, FINDING_CHECKS, true, faults,
        "%.1f %% is more than what is stated of '%s' permits: look at the units, "
        "and whether air was in the pipe.",
        100 * fabs(meter->gain - 1), in->name);
}

static bool add_fills(const struct check_result *result, struct document *doc,
                      struct faults *faults)
{
    struct text list = {0};
    for (size_t i = 0; i < result->n; i++)
        text_addf(&list, "%s%.4f", i > 0 ? ", " : "", result->meter.each[i]);
    bool good = text_ok(&list, faults) &&
                document_finding(doc, FINDING_DETAIL, false, faults,
                                 "Bucket and stopwatch '%s': in the bucket ÷ shown = %s.",
                                 result->run->name, text_string(&list));
    text_free(&list);
    return good;
}

bool run_bucket_stopwatch(const struct reduction *r, const struct run_section *run,
                          struct document *doc, struct faults *faults)
{
    const struct check_result *result = check_result_of(r, run);
    if (!result->found)
        return check_not_found(result, faults);
    const struct check_meter *meter = &result->meter;
    const struct instrument *in = &r->setup.instruments[meter->instrument];
    struct table *table =
        check_table(result,
                    "What came into the bucket, over what the meter showed. u: relative standard "
                    "uncertainty.",
                    doc, faults);
    struct check_line line = {in->name,
                              "gain",
                              "1",
                              meter->gain,
                              meter->gain * meter->u,
                              meter->dof,
                              meter->u_left * meter->gain,
                              meter->u_before};
    return table != NULL && check_line_add(result, &line, table, doc, faults) &&
           say_gain(result, in, doc, faults) && say_doubts(result, in, doc, faults) &&
           add_fills(result, doc, faults) &&
           document_caution(
               doc,
               "Bucket and stopwatch: fill with water that has cooled down; what comes out "
               "of a collector in the sun scalds, and may come as steam after a stop. Keep "
               "the scale, its plug and the pump's plug off the wet floor.",
               faults);
}
