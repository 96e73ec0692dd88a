/* Storage: the heat capacity of a collector, for windows whose water warms or cools. Stated, or a
 * documented estimate by construction with a wide uncertainty. One table that a technician can
 * proof-read.
 *
 * The fluid inside counts once: in the capacity, or by delaying the inlet by its transit time.
 */
#ifndef DOMAIN_STORAGE_H
#define DOMAIN_STORAGE_H

#include "domain/collector.h"

#include <stdbool.h>

enum { STORAGE_ROWS = 4 };

/* An estimate, per m2 of the reference area; u are standard uncertainties. */
struct storage_row {
    const char *name; /* "homemade flat plate" */
    double filled_J_m2K;
    double u_filled_J_m2K;
    double dry_J_m2K; /* without the fluid */
    double u_dry_J_m2K;
};

extern const struct storage_row storage_rows[STORAGE_ROWS];
extern const char *const storage_words[STORAGE_ROWS]; /* their names, in the same order */

/* Settles the capacity: the one stated, else the estimate of the construction stated, else, where
 * `assume`, that of a homemade flat plate, else none (0).
 * In:      delayed   the inlet is delayed by the transit time: estimates are without the fluid
 *          assume    a collector of which nothing is said is corrected all the same
 * A stated capacity without an error of its own carries 20 % standard: our figure, because the ways
 * to find one (parts, step of the inlet, step of the sun) do not agree better. */
void storage_settle(struct collector *collector, bool delayed, bool assume);

#endif
