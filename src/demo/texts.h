/* Texts: what the demo's folder says in words. Descriptions as a careful person would write them,
 * with comments that teach; instrument blocks come from the very table from which errors are drawn.
 */
#ifndef DEMO_TEXTS_H
#define DEMO_TEXTS_H

#include "base/faults.h"
#include "base/text.h"
#include "demo/collectors.h"
#include "demo/sensors.h"
#include "domain/fluid.h"

#include <stdbool.h>
#include <stdint.h>

/* plate-a.txt, plate-b.txt or rig.txt. */
void texts_description(enum demo_collector collector, struct text *out);

/* The [instrument] sections of a collector's test. */
void texts_instruments(enum demo_collector collector, struct text *out);

/* rig-checked.txt: the rig once more, with a zero check and with fills of a bucket, which are
 * drawn.
 * Returns: false with a fault (no memory) */
bool texts_rig_checked(uint64_t draw, const struct sensor_errors *errors, struct text *out,
                       struct faults *faults);

/* class.txt: a description for points typed by hand (points.csv). */
void texts_class(struct text *out);

/* glycol.txt: a description for points taken with antifreeze (glycol.csv). */
void texts_glycol(struct text *out);

/* points.csv: what pupils of four tables would have written down of plate A, numbers rounded by
 * hand.
 *
 * Returns: false with a fault (no memory, no steady state). */
bool texts_points(const struct fluid *fluid, uint64_t draw, struct text *out,
                  struct faults *faults);

/* glycol.csv: points of plate A with antifreeze, whose true mixture is drawn (demo_mixture).
 * Returns: false with a fault (no memory, no steady state). */
bool texts_glycol_points(uint64_t draw, struct text *out, struct faults *faults);

/* water-table.csv: the form in which a fluid of one's own is given. */
void texts_fluid_table(const struct fluid *fluid, struct text *out);

/* README.txt: what lies in the folder, cautions, and the truth behind the invented data.
 * Returns: false with a fault (no steady state). */
bool texts_readme(const struct fluid *fluid, struct text *out, struct faults *faults);

#endif
