/* Derived channels: filled per reading between the reader and whoever wants the readings. One table
 * of rows; adding a channel is adding a row with its function.
 *
 *   flow   of a meter that weighs: mass flow / rho(t at the meter); of a meter that gives pulses:
 *   see
 *          window/pulses.h
 *   metered heat   of a heat meter's total its rise with time, in the place of the total
 *   incidence, diffuse   from the sun's place: see window/angles.h
 *   heat   Q = rho(t at the meter) * volume flow * [h(t_out) - h(t_in delayed by the transit time)]
 *
 * The volume flow and its density are those of the moment; the inlet temperature is the one that
 * the fluid now at the outlet had when it came in: t_in at (now - transit time), on the straight
 * line between the readings before and after that instant. Until that far back has been seen (after
 * a gap), heat is missing. Where an input is not good heat is missing; where the fluid's table does
 * not reach, it is out of range.
 */
#ifndef WINDOW_DERIVED_H
#define WINDOW_DERIVED_H

#include "base/faults.h"
#include "domain/channel.h"
#include "domain/fluid.h"
#include "ingest/block.h"
#include "window/angles.h"
#include "window/delay.h"
#include "window/pulses.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct derived {
    const struct fluid *fluid; /* borrowed; must outlive this */
    bool meter_at_outlet;
    struct delay inlet;
    struct pulses pulses[COUNTED];
    struct angles angles;

    struct sink *sinks; /* borrowed */
    size_t n_sinks;
    struct block *block; /* the incoming block with derived channels added */
    double *value[CH_COUNT];
    uint8_t *flag[CH_COUNT];
};

/* In:      transit_us   >= 0; time from inlet to outlet probe
 *          sinks, n     called in order with the enriched blocks */
bool derived_init(struct derived *derived, const struct fluid *fluid, bool meter_at_outlet,
                  int64_t transit_us, struct sink *sinks, size_t n, struct faults *faults);
void derived_free(struct derived *derived);

/* The column of the flow, or of the metered heat, holds pulses or a total of this meter. Its counts
 * of wraps and resets are for reading. */
void derived_count(struct derived *derived, enum counted_kind counted,
                   const struct pulse_meter *meter);

/* What is known of place and mount; copied. Its doubts are for reading. */
void derived_know_angles(struct derived *derived, const struct angles *angles);

/* The sink to hand to the reader. */
struct sink derived_sink(struct derived *derived);

/* Heat of one instant, W.
 * In:      flow_m3_s, t_meter_degC, t_in_degC, t_out_degC
 * Returns: NaN where the fluid's table does not reach */
double derived_heat_W(const struct fluid *fluid, double flow_m3_s, double t_meter_degC,
                      double t_in_degC, double t_out_degC);

#endif
