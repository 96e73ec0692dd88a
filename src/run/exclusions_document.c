/* What the description excludes from a log: each stretch, why, and whether it holds any reading. */
#include "base/calendar.h"
#include "run/reduction_document.h"
#include "run/words.h"

#include <inttypes.h>

enum { STAMP_TEXT = 40 };

static bool exclusions_table(const struct reduction *r, struct document *doc, struct faults *faults)
{
    struct column columns[] = {
        {.id = "start", .label = "start", .unit = "", .kind = CELL_TEXT},
        {.id = "end", .label = "end", .unit = "", .kind = CELL_TEXT},
        {.id = "readings", .label = "rows", .unit = "", .kind = CELL_NUMBER},
        {.id = "reason", .label = "reason", .unit = "", .kind = CELL_TEXT},
    };
    struct table *table = document_table(
        doc, "exclusions", "Excluded by the description",
        "No window and no conditioning touches these stretches. Rows: those of the slots touched.",
        columns, sizeof columns / sizeof columns[0], faults);
    if (table == NULL)
        return false;
    table->report = table->file = true;
    for (size_t i = 0; i < r->setup.log.n_exclusions; i++) {
        const struct exclusion *exclusion = &r->setup.log.exclusions[i];
        char start[STAMP_TEXT], end[STAMP_TEXT];
        struct cell cells[] = {
            cell_text(zone_iso(log_set_zone(&r->logs), exclusion->start_us, start, sizeof start)),
            cell_text(zone_iso(log_set_zone(&r->logs), exclusion->end_us, end, sizeof end)),
            cell_number((double)r->finder.excluded[i].readings), cell_text(exclusion->reason)};
        if (!table_row(table, cells, faults))
            return false;
    }
    return true;
}

/* A stretch that holds nothing is most likely misdated. */
static bool say_exclusion(const struct reduction *r, size_t i, struct document *doc,
                          struct faults *faults)
{
    const struct exclusion *exclusion = &r->setup.log.exclusions[i];
    char start[STAMP_TEXT], length[32];
    zone_iso(log_set_zone(&r->logs), exclusion->start_us, start, sizeof start);
    words_duration((double)(exclusion->end_us - exclusion->start_us) / 1e6, length, sizeof length);
    if (r->finder.excluded[i].readings > 0)
        return document_finding(doc, FINDING_WINDOWS, false, faults,
                                "Excluded by the description: %s from %s (%s).", length, start,
                                exclusion->reason);
    return document_finding(doc, FINDING_WINDOWS, true, faults,
                            "The %s excluded from %s hold no reading: are date and zone right?",
                            length, start);
}

bool reduction_exclusions(const struct reduction *r, struct document *doc, struct faults *faults)
{
    if (r->setup.log.n_exclusions == 0)
        return true;
    for (size_t i = 0; i < r->setup.log.n_exclusions; i++)
        if (!say_exclusion(r, i, doc, faults))
            return false;
    return exclusions_table(r, doc, faults);
}
