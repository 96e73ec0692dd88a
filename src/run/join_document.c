/* What is told of logs that were joined: whose rows count, and which had no partner. */
#include "base/calendar.h"
#include "run/reduction_document.h"
#include "run/words.h"

#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

/* More rows without a reading of one log than one in so many are something to look at. */
enum { NUMBER_SIZE = 32, EMPTY_SHARE = 100 };

/* Scatter so many times what is claimed makes one ask for the clocks. Our own figure. */
#define BIRGE_OF_CLOCKS 2.0

static double step_s(const struct log_set *logs, size_t i)
{
    return (double)logs->account[i].step_us / 1e6;
}

static bool is_doubtful(const struct log_set *logs)
{
    for (size_t i = 0; i < logs->n; i++)
        if (logs->joined.part[i].empty * EMPTY_SHARE > logs->joined.rows)
            return true;
    return false;
}

static void say_offset(const struct reduction *r, size_t i, struct text *out)
{
    const struct log_set *logs = &r->logs;
    double ahead_s = (double)logs->ahead_us[i] / 1e6;
    if (i > 0 && ahead_s != 0.0)
        text_addf(out,
                  " Its clock shows %.10g s %s than that of %s, and its stamps are corrected by "
                  "as much.",
                  ahead_s < 0 ? -ahead_s : ahead_s, ahead_s < 0 ? "less" : "more", logs->label[0]);
    else if (i > 0 && !r->setup.other_logs[i - 1].ahead_s.at.given)
        text_addf(out, " No clock offset is stated: its clock is taken to agree with that of %s.",
                  logs->label[0]);
}

static void say_method(const struct reduction *r, struct text *out)
{
    const struct log_set *logs = &r->logs;
    size_t base = logs->joined.base;
    text_addf(out, "The rows that are judged are those of %s, every %.6g s.", logs->label[base],
              step_s(logs, base));
    say_offset(r, base, out);
    for (size_t i = 0; i < logs->n; i++) {
        if (i == base)
            continue;
        text_addf(out, " Of %s, every %.6g s, each has the mean of the %.6g s around it.",
                  logs->label[i], step_s(logs, i), (double)logs->joined.part[i].slot_us / 1e6);
        say_offset(r, i, out);
    }
}

static void say_part(const struct log_set *logs, size_t i, struct text *out)
{
    const struct join_part *part = &logs->joined.part[i];
    char number[NUMBER_SIZE], at[40];
    if (part->empty > 0)
        text_addf(out, " In %s of the joined rows %s has no reading, first at %s.",
                  words_number(part->empty, number, sizeof number), logs->label[i],
                  zone_iso(log_set_zone(logs), part->first_empty_us, at, sizeof at));
    if (part->unused > 0)
        text_addf(out, " %s row%s of %s belong%s to none.",
                  words_number(part->unused, number, sizeof number), part->unused == 1 ? "" : "s",
                  logs->label[i], part->unused == 1 ? "s" : "");
}

static void say_rows(const struct log_set *logs, struct text *out)
{
    const struct join_account *joined = &logs->joined;
    char number[NUMBER_SIZE];
    text_addf(out, "%s row%s joined.", words_number(joined->rows, number, sizeof number),
              joined->rows == 1 ? "" : "s");
    if (joined->outside > 0)
        text_addf(out, " %s of %s, before the other log began or after it ended, %s left out.",
                  words_number(joined->outside, number, sizeof number), logs->label[joined->base],
                  joined->outside == 1 ? "is" : "are");
    for (size_t i = 0; i < logs->n; i++)
        say_part(logs, i, out);
}

bool reduction_join(const struct reduction *r, struct document *doc, struct faults *faults)
{
    struct text method = {0}, rows = {0};
    if (r->logs.n < 2)
        return true;
    say_method(r, &method);
    say_rows(&r->logs, &rows);
    bool good =
        text_ok(&method, faults) && text_ok(&rows, faults) &&
        document_finding(doc, FINDING_LOG, false, faults, "%s", text_string(&method)) &&
        document_finding(doc, FINDING_LOG, is_doubtful(&r->logs), faults, "%s", text_string(&rows));
    text_free(&method);
    text_free(&rows);
    return good;
}

bool reduction_joined(const struct reduction *r, struct document *doc, struct faults *faults)
{
    struct text text = {0};
    const struct log_set *logs = &r->logs;
    if (logs->n < 2)
        return true;
    for (size_t i = 0; i < logs->n; i++) {
        text_addf(&text, "%s every %.6g s in %s", i > 0 ? "," : "Rows", step_s(logs, i),
                  logs->label[i]);
        if (i > 0)
            text_addf(&text, " (clock offset %.10g s)", (double)logs->ahead_us[i] / 1e6);
    }
    text_add(&text, ". ");
    say_rows(logs, &text);
    bool good = text_ok(&text, faults) && document_finding(doc, FINDING_READINGS, is_doubtful(logs),
                                                           faults, "%s", text_string(&text));
    text_free(&text);
    return good;
}

/* The other loggers, all or those of which no clock offset is stated. Returns: how many. */
static size_t list_loggers(const struct reduction *r, bool all, struct text *out)
{
    size_t n = 0;
    for (size_t i = 0; i < r->setup.n_other_logs; i++)
        if (all || !r->setup.other_logs[i].ahead_s.at.given)
            text_addf(out, "%s%s", n++ > 0 ? ", " : "", r->logs.label[i + 1]);
    return n;
}

bool reduction_clocks(const struct reduction *r, double birge, struct document *doc,
                      struct faults *faults)
{
    bool wide = isfinite(birge) && birge > BIRGE_OF_CLOCKS;
    struct text names = {0};
    size_t n = r->logs.n < 2 ? 0 : list_loggers(r, wide, &names);
    bool good = n == 0 || text_ok(&names, faults);
    if (good && n > 0 && wide)
        good = document_finding(
            doc, FINDING_UNCERTAINTY, true, faults,
            "The points scatter %.3g times as much as claimed, and several loggers wrote their "
            "readings: do the clocks of %s and %s agree? Look at the zone in 'time' and at 'clock "
            "offset': a cloud must show in the sunshine of the one and in the outlet of the other "
            "at the same time.",
            birge, r->logs.label[0], text_string(&names));
    else if (good && n > 0)
        good = document_finding(
            doc, FINDING_UNCERTAINTY, false, faults,
            "No 'clock offset' is stated for %s: %s taken to agree with that of %s, also to the "
            "hour. On a steady day an hour's difference shows in no scatter: look whether a cloud "
            "shows in both at the same time.",
            text_string(&names), n == 1 ? "its clock is" : "their clocks are", r->logs.label[0]);
    text_free(&names);
    return good;
}
