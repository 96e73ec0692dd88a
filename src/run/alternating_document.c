/* Readings that go to and fro from row to row: two loggers, or two collectors, that write into one log
 * by turns. Their means are of neither. */
#include "run/reduction_document.h"

/* What lies half between two steps of a sensor goes to and fro between them, by one step. */
#define STEPS_ALONE 1.5

/* A meter that counts brings 2, 3, 2, 3 pulses where a row's time holds two and a half. */
static bool is_counted(const struct reduction *r, enum channel channel)
{
    for (int k = 0; k < COUNTED; k++)
        if (counted_channel((enum counted_kind)k) == channel &&
            r->pulses[k].meter.form != PULSES_NONE)
            return true;
    return false;
}

static bool alternates(const struct reduction *r, const struct log_column *column,
                       const struct log_channel *channel)
{
    double swing = r->finder.noise[column->channel].swing;
    return channel->present && swing > 0.0 && !is_counted(r, column->channel) &&
           !(swing < STEPS_ALONE * reduction_step_si(column, channel));
}

bool reduction_alternating(const struct reduction *r, struct document *doc, struct faults *faults)
{
    struct text names = {0};
    for (size_t i = 0; r->from_log && i < r->logs.n; i++)
        for (size_t k = 0; k < r->logs.plan[i].n_columns; k++) {
            const struct log_column *column = &r->logs.plan[i].columns[k];
            if (alternates(r, column, &r->logs.account[i].channels[column->channel]))
                text_addf(&names, "%s'%s'", names.length > 0 ? ", " : "", column->name);
        }
    bool good = text_ok(&names, faults);
    if (good && names.length > 0)
        good = document_finding(doc, FINDING_ANSWER, true, faults,
                                "The readings of %s go to and fro from each row to the next: do two "
                                "loggers, or two collectors, write into one log by turns? Then the means "
                                "are of neither: give each a file of its own.",
                                text_string(&names));
    text_free(&names);
    return good;
}
