/* The hour that a clock shows twice: which of the two a row is of, told by the order of the rows.
 *
 * Where the clock is put back, stamps run through the repeated stretch, fall back once and run
 * through it again. The row after the fall continues the row before it (no gap in true time), which
 * tells the fall from a stray stamp. Without a fall the rows are of the first pass only if they
 * continue the rows before the stretch and the row after the stretch does not continue them:
 * otherwise the clock was not put back at all, or which pass it is cannot be told, and the log is
 * refused with both lines.
 */
#ifndef INGEST_REPEAT_H
#define INGEST_REPEAT_H

#include "base/faults.h"
#include "ingest/account.h"
#include "ingest/row.h"

#include <stdbool.h>
#include <stdint.h>

struct repeat {
    bool open;   /* rows were taken as first pass, and no fall has been seen */
    bool joined; /* the first of them continues the row before it */
    int64_t last_us; /* the clock's instant of the last used row, set by the reader */
    int64_t first_us;
    int64_t shift_us; /* from a first pass to its second */
    struct log_place first;
};

/* Settles rows->time_us of a row that was read; last_us is of the one before it (any: there is one,
 * at `before`). A fall is noted in the account.
 * Returns: false with an input fault if an earlier row of the repeated stretch cannot be
 *          settled. */
bool repeat_row(struct repeat *repeat, struct rows *rows, struct log_account *account, bool any,
                struct log_place before, struct log_place now, struct faults *faults);

/* The same after the last row. */
bool repeat_end(struct repeat *repeat, const struct log_account *account, struct log_place last,
                const struct zone *zone, struct faults *faults);

#endif
