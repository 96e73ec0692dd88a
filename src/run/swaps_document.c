/* What is said of instruments that changed places. */
#include "run/reduction_document.h"
#include "run/swaps.h"
#include "run/words.h"

bool reduction_swaps(const struct reduction *r, struct document *doc, struct faults *faults)
{
    for (size_t i = 0; i < r->setup.n_instruments; i++) {
        const struct instrument *in = &r->setup.instruments[i];
        char when[40], before[WORDS_SIZE];
        if (!in->swapped)
            continue;
        size_t n = swaps_before(&r->means, in), after = r->means.n - n;
        const char *noun = r->from_log ? "window" : "point";
        zone_iso(log_zone(&r->setup.log), in->swap_us, when, sizeof when);
        words_count(n, noun, before, sizeof before);
        if (!document_finding(
                doc, FINDING_WINDOWS, r->means.n > 0 && (n == 0 || after == 0), faults,
                "From %s on '%s' stood in the place of '%s' (%s): %s before, %zu after%s", when,
                in->swap_id, in->name, in->id.text, before, after,
                n == 0 || after == 0 ? "; with none on one side nothing tells the two apart."
                                     : "."))
            return false;
    }
    return true;
}
