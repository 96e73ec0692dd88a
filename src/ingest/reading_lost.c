/* Counts since the row before, where that row was set aside.
 *
 * What was counted up to it is lost with it, and the next row tells what came since then, not since
 * the last row that is used: its count is set aside as well (FLAG_AFTER_LOST). A counter that goes
 * on counting loses nothing. The row before is that of the same file; what is set aside at the end
 * of a file holds for the row that is used next, of whichever file. */
#include "ingest/reading.h"

#include <math.h>

/* Whether the logger wrote readings there, and they stand nowhere else. */
static bool held_readings(enum row_refusal refusal)
{
    return !row_refusal_is_plain(refusal) || refusal == ROW_PART;
}

void reading_lose(struct reading *r, enum row_refusal refusal)
{
    if (held_readings(refusal))
        r->now->lost = true;
    /* Its twin in another file is used: the next row follows on that. */
    if (refusal == ROW_OVERLAP)
        r->now->lost = r->lost = false;
}

void reading_settle_lost(struct reading *r, struct rows *rows)
{
    bool lost = r->any && (r->now->lost || r->lost);
    r->now->lost = r->lost = false;
    for (size_t k = 0; lost && k < r->plan->n_columns; k++) {
        if (!log_column_since_row(&r->plan->columns[k]) || rows->flag[k] != FLAG_GOOD)
            continue;
        rows->flag[k] = FLAG_AFTER_LOST;
        rows->value_si[k] = NAN;
    }
}
