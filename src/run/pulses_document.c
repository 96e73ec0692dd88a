/* What a meter that gives pulses can tell, and what its counter did. */
#include "run/reduction_document.h"

#include <math.h>

static bool say_counter(const struct pulses *pulses, struct document *doc, struct faults *faults)
{
    if (pulses->wraps > 0 &&
        !document_finding(doc, FINDING_LOG, false, faults,
                          "The flow meter's counter ran over its end %zu time%s and began again "
                          "at 0; nothing was lost.",
                          pulses->wraps, pulses->wraps == 1 ? "" : "s"))
        return false;
    return pulses->resets == 0 ||
           document_finding(doc, FINDING_LOG, true, faults,
                            "The flow meter's counter fell back %zu time%s, not at its end: it was "
                            "reset. What came through in those rows is not known, and they are "
                            "not used.",
                            pulses->resets, pulses->resets == 1 ? "" : "s");
}

/* The slowest of the windows' flows, and the largest share of it that its edges leave unsure. */
static void coarsest(const struct means_list *list, double *flow_m3_s, double *share)
{
    *flow_m3_s = INFINITY;
    *share = 0.0;
    for (size_t i = 0; i < list->n; i++) {
        if (!list->items[i].has[CH_FLOW])
            continue;
        double flow = list->items[i].mean[CH_FLOW];
        *flow_m3_s = fmin(*flow_m3_s, flow);
        *share = fmax(*share, list->items[i].u[CH_FLOW] / flow);
    }
}

static bool say_steps(const struct reduction *r, struct document *doc, struct faults *faults)
{
    double flow_m3_s, share;
    coarsest(&r->means, &flow_m3_s, &share);
    if (!isfinite(flow_m3_s))
        return true;
    double slot_s = r->finder.sliding.slot_s;
    double step = r->finder.m3_per_pulse / slot_s / flow_m3_s;
    const struct rule_value *limit = &r->rules.rule[RULE_FLOW_DEVIATION].value;
    bool coarse = limit->on && step > limit->high;
    return document_finding(
        doc, FINDING_LOG, coarse, faults,
        "The flow is counted in pulses of %.3g mL, in each window from the first to the last: its "
        "mean is sure to %.2g %% (one standard uncertainty, counted). In a slot of %.0f s one "
        "pulse is %.2g %% of the flow%s.",
        1e6 * r->finder.m3_per_pulse, 100 * share, slot_s, 100 * step,
        coarse ? ": its steadiness is not judged finer than that. A longer 'slot' in [steady "
                 "state] would tell"
               : "");
}

bool reduction_pulses(const struct reduction *r, struct document *doc, struct faults *faults)
{
    if (r->pulses.meter.form == PULSES_NONE)
        return true;
    if (r->pulses.meter.form == PULSES_RATE)
        return document_finding(doc, FINDING_LOG, false, faults,
                                "The flow is %.3g mL a pulse times the logged frequency; the "
                                "logger's steps are not known here ('resolution' would state "
                                "them).",
                                1e6 * r->pulses.meter.m3_per_pulse);
    return say_counter(&r->pulses, doc, faults) && say_steps(r, doc, faults);
}
