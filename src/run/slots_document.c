/* What is told where a logger's step was changed, so that slots were laid anew. */
#include "run/reduction_document.h"
#include "run/words.h"

bool reduction_slots(const struct reduction *r, struct document *doc, struct faults *faults)
{
    const struct slots *slots = &r->finder.slots;
    const struct slots_laid *laid = &slots->laid;
    char at[40], before[40], after[40], slot[40];
    if (laid->n == 0)
        return true;
    words_duration((double)slots->wanted_us * 1e-6, slot, sizeof slot);
    return document_finding(
        doc, FINDING_WINDOWS, false, faults,
        "Rows come more slowly from %s on%s: every %s, before that every %s. There each reading is "
        "judged by itself instead of means over %s, and conditioning begins again.",
        zone_iso(log_set_zone(&r->logs), laid->first_us, at, sizeof at),
        laid->n == 1 ? "" : ", and again later",
        words_duration((double)laid->to_us * 1e-6, after, sizeof after),
        words_duration((double)laid->from_us * 1e-6, before, sizeof before), slot);
}
