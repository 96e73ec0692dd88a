/* What a channel's readings show as a whole, and no reading by itself: they were used, and may be
 * wrong. */
#include "base/files.h"
#include "ingest/complaint.h"
#include "run/reduction_document.h"
#include "run/words.h"

#include <stdio.h>

enum { TEXT_SIZE = 64 };

struct seen {
    const struct log_account *account;
    const struct log_channel *channel;
    const struct log_column *column;
};

/* What is wrong, and what to do; a warning as well, at the first line. */
static bool say(const struct seen *seen, const struct log_place *first, const char *found,
                const char *hint, enum finding_place to, struct document *doc,
                struct faults *faults)
{
    struct place at = fault_at(seen->account->files[first->file].path, first->line, 0);
    struct fault *fault = fault_new(faults, FAULT_WARNING, at);
    fault_field(fault, "column '%s'", seen->column->name);
    fault_found(fault, "%s", found);
    fault_hint(fault, "%s", hint);
    return document_finding(doc, to, true, faults, "'%s' (%s): %s. What to do: %s.",
                            seen->column->name, channel_row(seen->column->channel)->label, found,
                            hint);
}

static bool say_still(const struct seen *seen, enum finding_place to, struct document *doc,
                      struct faults *faults)
{
    const struct log_still *still = &seen->channel->still;
    char value[QUOTED_SIZE], rows[TEXT_SIZE], lasted[TEXT_SIZE], found[400];
    if (still->n == 0)
        return true;
    value_text(seen->column, still->value_si, value);
    words_number(still->n, rows, sizeof rows);
    words_duration((double)still->lasted_us / 1e6, lasted, sizeof lasted);
    snprintf(
        found, sizeof found,
        "%s in %s rows, %s, from %.80s:%ld on: it was stuck there, as its later readings show, and "
        "these rows were used",
        value, rows, lasted, path_base(seen->account->files[still->first.file].path),
        still->first.line);
    return say(
        seen, &still->first, found,
        "leave that time out ('exclude' in [steady state]), or state the 'resolution' of this "
        "instrument, by which such rows are set aside",
        to, doc, faults);
}

/* A lamp keeps its level by intent. */
static bool say_ceiling(const struct reduction *r, const struct seen *seen, enum finding_place to,
                        struct document *doc, struct faults *faults)
{
    static const struct log_place nowhere = {0, 0};
    const struct log_ceiling *ceiling = &seen->channel->ceiling;
    char least[QUOTED_SIZE], most[QUOTED_SIZE], found[400];
    if (!(ceiling->share > 0.0) || r->angles.lamp)
        return true;
    value_text(seen->column, ceiling->least_si, least);
    value_text(seen->column, seen->channel->most_si, most);
    snprintf(
        found, sizeof found,
        "%.0f %% of its bright readings lie between %s and %s, hardly any just below and none "
        "above: "
        "is that the end of the sensor's or the logger's range? Then there was more sun than it "
        "shows, and the efficiency is too high",
        100.0 * ceiling->share, least, most);
    return say(seen, &nowhere, found,
               "let the logger measure in a wider range, and leave the times at this end out "
               "('exclude' in [steady state]); under a lamp, state 'mount = lamp' in [site]",
               to, doc, faults);
}

static bool say_thousand(const struct seen *seen, enum finding_place to, struct document *doc,
                         struct faults *faults)
{
    const struct log_thousand *thousand = &seen->channel->thousand;
    char rows[TEXT_SIZE], found[400];
    if (thousand->rows == 0)
        return true;
    words_number(thousand->rows, rows, sizeof rows);
    snprintf(found, sizeof found,
             "%.3f follows %g at %.80s:%ld, in %s rows or more: a thousand and more seems to be "
             "written with "
             "a sign between the thousands, and was read as one",
             thousand->number, thousand->before,
             path_base(seen->account->files[thousand->first.file].path), thousand->first.line,
             rows);
    return say(
        seen, &thousand->first, found,
        "let the log be written without signs between thousands (in a spreadsheet: the cells' "
        "number format); as it is, the sunniest time counts as darkness",
        to, doc, faults);
}

bool reduction_whole(const struct reduction *r, enum finding_place to, struct document *doc,
                     struct faults *faults)
{
    for (size_t i = 0; r->from_log && i < r->logs.n; i++)
        for (size_t k = 0; k < r->logs.plan[i].n_columns; k++) {
            const struct log_column *column = &r->logs.plan[i].columns[k];
            const struct log_account *account = &r->logs.account[i];
            struct seen seen = {account, &account->channels[column->channel], column};
            if (!say_still(&seen, to, doc, faults) || !say_ceiling(r, &seen, to, doc, faults) ||
                !say_thousand(&seen, to, doc, faults))
                return false;
        }
    return true;
}
