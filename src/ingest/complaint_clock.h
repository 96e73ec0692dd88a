/* Complaints about a log's clock, beyond those of single stamps. As in ingest/complaint.h each
 * returns false with an input fault.
 */
#ifndef INGEST_COMPLAINT_CLOCK_H
#define INGEST_COMPLAINT_CLOCK_H

#include "base/faults.h"
#include "ingest/account.h"
#include "ingest/complaint_first.h"

#include <stdbool.h>

/* Stamps of a clock that was not set: an input fault for more than 1 in 100. */
bool complain_unset(const struct stamp_troubles *t, struct faults *faults);

/* Day and month exchanged in a part of the stamps: always an input fault, which then also speaks
 * for the rows that run backwards. A leap forward that would be none with day and month exchanged
 * may be true: a warning. */
bool complain_swapped(const struct stamp_troubles *t, struct faults *faults);

/* Stamps that run ahead of the rows around them: an input fault for more than 1 leap in 100
 * rows. */
bool complain_stray(const struct stamp_troubles *t, struct faults *faults);

/* Counts since a power-up of which no instant is stated: always an input fault. */
bool complain_no_start(const struct stamp_troubles *t, struct faults *faults);

/* Stamps that stand more than once (or more often than stated): a warning, and an input fault if
 * the file adds no row. */
bool complain_duplicates(const struct stamp_troubles *t, struct faults *faults);

/* What to do about a clock that was set back: the line to paste, where the log tells it. */
void hint_set_back(const struct stamp_troubles *t, struct fault *fault);

/* Rows at the beginning of a stretch of rows that share stamps: a note. */
void note_parts(const struct stamp_troubles *t, struct faults *faults);

/* Rows that were put in their places from hours behind the newest one: rather than that these came
 * late a stamp before them is wrong. */
void complain_late(const struct log_account *account, struct faults *faults);

#endif
