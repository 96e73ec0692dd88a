/* Clock form: in which form the stamps of the columns of the time are written, and which of their
 * numbers is the day. Part of draft/clock.h.
 *
 * Forms that differ only in the order of day, month and year are one family. Of the orders that
 * read as many rows the one counts with which the rows do not jump; where several do not, the usual
 * one is taken and the others are handed on.
 */
#ifndef DRAFT_CLOCK_FORM_H
#define DRAFT_CLOCK_FORM_H

#include "draft/clock.h"
#include "ingest/stamp.h"

enum { CLOCK_TEXT_SIZE = TIME_COLUMNS_MAX * (STAMP_BYTES_MAX + 1) + 1 };

/* The stamp of a row, as the log's reader joins it. Returns: false if the row has none. */
bool clock_form_stamp(const struct sample *sample, const struct clock *clock, size_t row,
                      char out[CLOCK_TEXT_SIZE]);

/* Reads every row's stamp by clock's format.
 * In:      clock    column, n_columns, format
 * Out:     time_us  by row; CLOCK_NONE where it could not be read
 *          n        rows in which it could
 * Returns: false with a fault: a format that is none */
bool clock_form_read(const struct sample *sample, const struct clock *clock, bool in_stamp,
                     int64_t *time_us, size_t *n, struct faults *faults);

/* In:      clock    column, n_columns
 * Out:     clock    n_stamps, n_read; where more than half of the stamps are read also found, format,
 *                   other, year_first, asked, settled, in_stamp, time_us, run
 * Returns: false with a machine fault */
bool clock_form_find(const struct sample *sample, struct clock *clock, struct faults *faults);

#endif
