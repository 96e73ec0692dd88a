#include "domain/storage.h"

#include <stdio.h>

#define STATED_U 0.20

/* Our own figures, no source. Homemade: 1 to 3 litres of water a m2 (4 to 12 kJ/(m2 K)) and a few
 * kilograms of sheet and pipe; a hundredth to a third of glass and box takes part. Factory: about a
 * litre of fluid and thin sheet. Unglazed: mats and cushions that hold 2 to 8 litres. Heat pipes:
 * glass tubes, their fins and a header with little fluid. */
const struct storage_row storage_rows[STORAGE_ROWS] = {
    {"homemade flat plate", 8000.0, 4000.0, 5000.0, 3000.0},
    {"factory flat plate", 7000.0, 2500.0, 3000.0, 2000.0},
    {"unglazed plate", 20000.0, 10000.0, 3000.0, 2000.0},
    {"evacuated tubes with heat pipes", 10000.0, 5000.0, 8000.0, 4000.0},
};

const char *const storage_words[STORAGE_ROWS] = {
    "homemade flat plate",
    "factory flat plate",
    "unglazed plate",
    "evacuated tubes with heat pipes",
};

static void estimate(struct collector *collector, const struct storage_row *row, bool delayed)
{
    collector->capacity_J_m2K = delayed ? row->dry_J_m2K : row->filled_J_m2K;
    collector->u_capacity_J_m2K = delayed ? row->u_dry_J_m2K : row->u_filled_J_m2K;
    snprintf(collector->capacity_origin, sizeof collector->capacity_origin,
             "estimate for %s: our figure, no source", row->name);
}

void storage_settle(struct collector *collector, bool delayed, bool assume)
{
    bool construction = collector->construction.at.given;
    collector->capacity_J_m2K = collector->u_capacity_J_m2K = 0.0;
    collector->capacity_dry = delayed;
    collector->capacity_assumed = !collector->capacity.at.given && !construction && assume;
    if (collector->capacity.at.given) {
        collector->capacity_J_m2K = collector->capacity.value;
        collector->u_capacity_J_m2K = STATED_U * collector->capacity.value;
        snprintf(collector->capacity_origin, sizeof collector->capacity_origin,
                 "%s", collector->capacity_error.at.given
                           ? "stated"
                           : "stated; 20 % because no error is stated, our figure");
    } else if (construction || assume) {
        estimate(collector, &storage_rows[construction ? collector->construction.index : 0],
                 delayed);
    }
    const struct stated_error *error = &collector->capacity_error;
    if (error->at.given)
        collector->u_capacity_J_m2K =
            error->relative ? error->u * collector->capacity_J_m2K : error->u;
}
