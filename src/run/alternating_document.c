/* Readings that go to and fro from row to row: two loggers, or two collectors, that write into one log
 * by turns. Their means are of neither. */
#include "run/reduction_document.h"

bool reduction_alternating(const struct reduction *r, struct document *doc, struct faults *faults)
{
    struct text names = {0};
    for (int ch = 0; r->from_log && ch < CH_LOGGED; ch++) {
        const struct log_channel *channel = log_set_channel(&r->logs, (enum channel)ch);
        if (channel->present && r->finder.noise[ch].alternates)
            text_addf(&names, "%s'%s'", names.length > 0 ? ", " : "", channel->column);
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
