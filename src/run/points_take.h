/* Points by hand: the tables of [points] -> means, with what is wrong with their rows. */
#ifndef RUN_POINTS_TAKE_H
#define RUN_POINTS_TAKE_H

#include "base/faults.h"
#include "run/reduction.h"

#include <stdbool.h>

/* A typed power is compared with flow times rise to this share and this much, beside half of its
 * last digit. Rounding of the columns and a constant specific heat stay within it: our own figures.
 */
#define POINTS_POWER_SHARE 0.05
#define POINTS_POWER_W 5.0

/* Reads every table of the description, settles the names, finds the faulty rows (those of the
 * tables and powers that are not flow times rise), lifts what `keep` vouches for. Out: reduction
 * means, points_rows, points_files Returns: false with faults: of a table as a whole, of 'keep'
 * lines, and, unless skip_bad is set, of every faulty row. With it they are taken out; none left is
 * a fault. */
bool points_take(struct reduction *reduction, struct faults *faults);

#endif
