/* The [fluid] section: which fluid flows, where it is metered, how well its properties are known.
 */
#ifndef DOMAIN_FLUID_CHOICE_H
#define DOMAIN_FLUID_CHOICE_H

#include "description/schema.h"
#include "domain/fluid.h"

enum meter_place { METER_AT_INLET, METER_AT_OUTLET };

/* How the heat that the fluid carries away is found. */
enum heat_from { HEAT_FROM_FLOW, HEAT_FROM_METER };

struct fluid_choice {
    struct stated_text name;
    struct stated_text fraction; /* of a glycol: "30 % by volume" */
    struct stated_text table; /* path as written, beside the description */
    struct stated_choice meter_at; /* enum meter_place */
    struct stated_choice heat_from; /* enum heat_from */
    struct stated_number transit_s;
    struct stated_error cp_error;
    struct stated_error density_error;
    struct stated_error fraction_error; /* in points of the mixture */
};

extern const struct schema fluid_schema; /* [fluid] */

/* Fills `fluid` from the choice; a choice of zeros is water.
 * Returns: false with a fault if the fluid is unknown and no table is named, the table is wrong, or
 * a glycol's fraction is (domain/fluid_mixture.h). */
bool fluid_choose(const struct fluid_choice *choice, const char *file, struct fluid *fluid,
                  struct faults *faults);

/* A user's table from its CSV file: head `t_degC,density_kg_m3,cp_J_kgK`, '#' comments, decimal
 * point.
 * Returns: false with an input fault for each bad row. */
bool fluid_read_table(const char *path, const char *name, struct fluid *fluid,
                      struct faults *faults);

#endif
