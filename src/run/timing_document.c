/* What is told of a log's clock: how its stamps were taken. */
#include "base/calendar.h"
#include "base/files.h"
#include "base/text.h"
#include "run/reduction_document.h"
#include "run/words.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>

static bool say_side(const struct log_set *logs, size_t i, const char *prefix, struct document *doc,
                     struct faults *faults)
{
    int64_t shift_us = logs->account[i].shift_us;
    if (shift_us == 0)
        return true;
    return document_finding(
        doc, FINDING_LOG, false, faults,
        "%sA stamp stands at the %s of an interval of %.6g s: the readings count "
        "at its middle, %.6g s %s.",
        prefix, shift_us > 0 ? "start" : "end", (double)llabs(shift_us) / 5e5,
        (double)llabs(shift_us) / 1e6, shift_us > 0 ? "later" : "earlier");
}

static bool say_rows_per_stamp(const struct log_set *logs, size_t i, const char *prefix,
                               struct document *doc, struct faults *faults)
{
    if (logs->account[i].stamp_step_us == 0)
        return true;
    return document_finding(
        doc, FINDING_LOG, false, faults,
        "%s%u rows share a stamp: they are taken as evenly spread over the %.6g s "
        "from stamp to stamp.",
        prefix, logs->plan[i].timing.rows_per_stamp, (double)logs->account[i].stamp_step_us / 1e6);
}

static bool say_sets(const struct log_set *logs, size_t i, const char *prefix, struct document *doc,
                     struct faults *faults)
{
    for (size_t k = 0; k < logs->plan[i].timing.n_sets; k++) {
        const struct clock_set *set = &logs->plan[i].timing.sets[k];
        char shown[40];
        zone_iso(logs->plan[i].zone, set->shown_us, shown, sizeof shown);
        if (!document_finding(
                doc, FINDING_LOG, false, faults,
                "%sThe clock was put %s by %.10g s when it showed %s: %s corrected by as "
                "much.",
                prefix, set->by_us < 0 ? "back" : "forward", (double)llabs(set->by_us) / 1e6, shown,
                k < logs->account[i].sets ? "rows before that are"
                                          : "that is after the log, "
                                            "and all its rows are"))
            return false;
    }
    return true;
}

static bool say_year(const struct log_set *logs, size_t i, const char *prefix, struct document *doc,
                     struct faults *faults)
{
    int year = logs->plan[i].year;
    return year == 0 ||
           document_finding(doc, FINDING_LOG, false, faults,
                            "%sThe year of all rows is %d, as stated: the stamps show none or a "
                            "wrong one.",
                            prefix, year);
}

static bool say_starts(const struct log_set *logs, size_t i, const char *prefix,
                       struct document *doc, struct faults *faults)
{
    const struct log_account *account = &logs->account[i];
    char wraps[80] = "";
    if (account->power_ups == 0)
        return true;
    if (account->wraps > 0)
        snprintf(wraps, sizeof wraps, "; it began anew after 2^32 ms, %" PRIu64 " time%s",
                 account->wraps, account->wraps == 1 ? "" : "s");
    return document_finding(doc, FINDING_LOG, false, faults,
                            "%sThe clock counts since the logger was switched on, %" PRIu64
                            " time%s, and is placed by the stated start%s%s.",
                            prefix, account->power_ups, account->power_ups == 1 ? "" : "s",
                            account->power_ups == 1 ? "" : "s", wraps);
}

static bool say_late(const struct log_set *logs, size_t i, const char *prefix, struct document *doc,
                     struct faults *faults)
{
    const struct log_late *late = &logs->account[i].late;
    char count[64];
    if (late->n == 0)
        return true;
    words_count(late->n, "row", count, sizeof count);
    return document_finding(
        doc, FINDING_LOG, false, faults,
        "%s%s came late, up to %.6g s behind the newest, and %s put in %s by "
        "the stamps%s%s:%ld).",
        prefix, count, (double)late->most_us / 1e6, late->n == 1 ? "was" : "were",
        late->n == 1 ? "its place" : "their places", late->n == 1 ? " (" : " (the first is ",
        path_base(logs->account[i].files[late->first.file].path), late->first.line);
}

enum { FILES_NAMED = 6 };

static bool say_merged(const struct log_set *logs, size_t i, const char *prefix,
                       struct document *doc, struct faults *faults)
{
    const struct log_account *account = &logs->account[i];
    struct text list = {0};
    char count[64];
    size_t n = 0;
    if (account->merged.turns == 0)
        return true;
    for (size_t k = 0; k < account->n_files; k++) {
        const struct log_file *file = &account->files[k];
        if (!file->between || n++ >= FILES_NAMED)
            continue;
        words_count(file->rows_used, "row", count, sizeof count);
        text_addf(&list, "%s%s of %s", n > 1 ? ", " : "", count, path_base(file->path));
    }
    if (n > FILES_NAMED)
        text_addf(&list, " and those of %zu more", n - FILES_NAMED);
    bool ok =
        document_finding(doc, FINDING_LOG, false, faults,
                         "%sRows of %zu files lie between each other's and were merged by their "
                         "stamps: %s.",
                         prefix, n, text_string(&list));
    text_free(&list);
    return ok;
}

bool reduction_timing(const struct log_set *logs, size_t i, struct document *doc,
                      struct faults *faults)
{
    static bool (*const parts[])(const struct log_set *, size_t, const char *, struct document *,
                                 struct faults *) = {
        say_year, say_starts, say_sets, say_rows_per_stamp, say_late, say_merged, say_side};
    char prefix[WORDS_SIZE];
    log_set_prefix(logs, i, prefix, sizeof prefix);
    for (size_t k = 0; k < sizeof parts / sizeof parts[0]; k++)
        if (!parts[k](logs, i, prefix, doc, faults))
            return false;
    return true;
}
