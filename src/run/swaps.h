/* Swaps: `swap = WHEN, ID` of [instrument NAME]. From then on the instrument of that id stood in
 * its place, and it in the place of that one on another collector. Two collectors whose flow meters
 * (or thermometers) change places half-way are told apart without knowing either meter well:
 * study/swapped.h.
 *
 * What the column of the log (or of the points table) holds stays the collector's. The instrument
 * that took the place counts as one with the same stated errors. Every calibration and session row
 * of the instrument is split in two: one acts on means that begin before the swap, with its id, the
 * other from then on, with the other's id. A row of a reading is new in each window and stays as it
 * is; so does the mounting, which is of the place.
 */
#ifndef RUN_SWAPS_H
#define RUN_SWAPS_H

#include "base/faults.h"
#include "run/reduction.h"
#include "run/setup.h"

#include <stdbool.h>

/* Reads and checks the keys of a description, after its instruments and its log.
 * Returns: false with input faults: no time or id, no id of its own, a matched pair of which one
 * stays */
bool swaps_settle(struct test_setup *setup, struct faults *faults);

/* Lets no window reach across a swap; before the log is read. Returns: false when memory is short
 */
bool swaps_keep_apart(struct reduction *reduction, struct faults *faults);

/* Splits the rows; means and rows are known.
 * Returns: false with input faults: a swap outside of the log or of the points, points without
 * times or across it, an instrument that a check corrected (after the swap that is another's
 * correction) */
bool swaps_apply(struct reduction *reduction, struct faults *faults);

/* How many means begin before an instrument's swap. */
size_t swaps_before(const struct means_list *means, const struct instrument *instrument);

#endif
