/* What is told of a log's clock: how its stamps were taken. */
#include "base/calendar.h"
#include "base/files.h"
#include "run/reduction_document.h"
#include "run/words.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>

static bool say_side(const struct reduction *r, struct document *doc, struct faults *faults)
{
    int64_t shift_us = r->account.shift_us;
    if (shift_us == 0)
        return true;
    return document_finding(doc, FINDING_LOG, false, faults,
                            "A stamp stands at the %s of an interval of %.6g s: the readings count "
                            "at its middle, %.6g s %s.",
                            shift_us > 0 ? "start" : "end", (double)llabs(shift_us) / 5e5,
                            (double)llabs(shift_us) / 1e6, shift_us > 0 ? "later" : "earlier");
}

static bool say_rows_per_stamp(const struct reduction *r, struct document *doc,
                               struct faults *faults)
{
    if (r->account.stamp_step_us == 0)
        return true;
    return document_finding(
        doc, FINDING_LOG, false, faults,
        "%u rows share a stamp: they are taken as evenly spread over the %.6g s "
        "from stamp to stamp.",
        r->plan.timing.rows_per_stamp, (double)r->account.stamp_step_us / 1e6);
}

static bool say_sets(const struct reduction *r, struct document *doc, struct faults *faults)
{
    for (size_t i = 0; i < r->plan.timing.n_sets; i++) {
        const struct clock_set *set = &r->plan.timing.sets[i];
        char shown[40];
        zone_iso(r->plan.zone, set->shown_us, shown, sizeof shown);
        if (!document_finding(
                doc, FINDING_LOG, false, faults,
                "The clock was put %s by %.10g s when it showed %s: %s corrected by as "
                "much.",
                set->by_us < 0 ? "back" : "forward", (double)llabs(set->by_us) / 1e6, shown,
                i < r->account.sets ? "rows before that are"
                                    : "that is after the log, "
                                      "and all its rows are"))
            return false;
    }
    return true;
}

static bool say_starts(const struct reduction *r, struct document *doc, struct faults *faults)
{
    const struct log_account *account = &r->account;
    char wraps[80] = "";
    if (account->power_ups == 0)
        return true;
    if (account->wraps > 0)
        snprintf(wraps, sizeof wraps, "; it began anew after 2^32 ms, %" PRIu64 " time%s",
                 account->wraps, account->wraps == 1 ? "" : "s");
    return document_finding(doc, FINDING_LOG, false, faults,
                            "The clock counts since the logger was switched on, %" PRIu64
                            " time%s, and is placed by the stated start%s%s.",
                            account->power_ups, account->power_ups == 1 ? "" : "s",
                            account->power_ups == 1 ? "" : "s", wraps);
}

static bool say_late(const struct reduction *r, struct document *doc, struct faults *faults)
{
    const struct log_late *late = &r->account.late;
    char count[64];
    if (late->n == 0)
        return true;
    words_count(late->n, "row", count, sizeof count);
    return document_finding(doc, FINDING_LOG, false, faults,
                            "%s came late, up to %.6g s behind the newest, and %s put in %s by "
                            "the stamps%s %s:%ld).",
                            count, (double)late->most_us / 1e6, late->n == 1 ? "was" : "were",
                            late->n == 1 ? "its place" : "their places",
                            late->n == 1 ? " (" : " (the first is",
                            path_base(r->account.files[late->first.file].path), late->first.line);
}

bool reduction_timing(const struct reduction *r, struct document *doc, struct faults *faults)
{
    return say_starts(r, doc, faults) && say_sets(r, doc, faults) &&
           say_rows_per_stamp(r, doc, faults) && say_late(r, doc, faults) &&
           say_side(r, doc, faults);
}
