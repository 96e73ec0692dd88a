/* Unit turn: a row from which on the temperatures are in the other of two units, degrees Celsius
 * and Fahrenheit, while the description and the heads state one. All of them leap together then,
 * and each to what 1.8 x + 32 makes of it, or back.
 *
 *     sure     within an hour the air leaps so by more than 20 K, to 6 K (in degrees Celsius), and
 *              so do water in or out, nearer to that than to where they were. Air does not. Or:
 *              within two minutes water in and out leap so by more than 8 K, to 2.5 K, and the
 *              air has no reading
 *     perhaps  over a gap of up to 3 days the air leaps so by more than 30 K, to 12 K, and there is
 *              a reading of the water; or within two minutes water in and out leap so, and the air
 *              goes on as it was
 *
 * All figures are our own. What leaps with the sun or with somebody's hand (flow, irradiance) is
 * not looked at.
 */
#ifndef INGEST_UNIT_TURN_H
#define INGEST_UNIT_TURN_H

#include "ingest/block.h"

#include <stdbool.h>
#include <stdint.h>

enum unit_turn_kind { TURN_NONE, TURN_PERHAPS, TURN_SURE };

/* Temperatures of one row, NaN where there is no good reading. */
struct unit_turn_row {
    bool any;
    int64_t time_us;
    struct row_place place;
    double air_degC;
    double in_degC;
    double out_degC;
};

struct unit_turn {
    struct unit_turn_row last;
    enum unit_turn_kind kind; /* of the first that was sure, else the first of all */
    bool to_F;                /* from degrees Celsius to Fahrenheit, not back */
    struct unit_turn_row before, after;
};

/* What lies between two rows. Out: to_F  which way; untouched with TURN_NONE */
enum unit_turn_kind unit_turn_between(const struct unit_turn_row *before,
                                      const struct unit_turn_row *after, bool *to_F);

/* Whether one thermometer's reading may have turned so: it leaps by more than 8 K, to nearer where
 * the other unit puts it than to where it was. */
bool unit_turn_leaps(double before, double after, bool to_F);

/* Looks at the rows of a block that follows on those before, with their places. */
void unit_turn_look(struct unit_turn *turn, const struct block *block);

#endif
