/* Logs: the readings of the invented days as CSV text, from a balance integrated second by second.
 */
#ifndef DEMO_LOGS_H
#define DEMO_LOGS_H

#include "base/faults.h"
#include "base/text.h"
#include "demo/sensors.h"
#include "demo/weather.h"
#include "domain/fluid.h"

#include <stdbool.h>
#include <stdint.h>

/* One day of both plates, a row every 10 s; commas, decimal points, date and time apart.
 * In:      day   WEATHER_FIRST or WEATHER_SECOND
 * Out:     csv   appended to
 * Returns: false with a fault (no memory, no state inside the fluid's range). */
bool logs_plates(enum weather_day day, uint64_t draw, const struct sensor_errors *errors,
                 const struct fluid *fluid, struct text *csv, struct faults *faults);

/* The day of the rig, a row every 15 s; semicolons, decimal commas, ISO 8601 stamps. */
bool logs_rig(uint64_t draw, const struct sensor_errors *errors, const struct fluid *fluid,
              struct text *csv, struct faults *faults);

/* The evening before: half an hour in which the rig's water circulates in the dark, as warm as the
 * air. */
bool logs_rig_evening(uint64_t draw, const struct sensor_errors *errors, const struct fluid *fluid,
                      struct text *csv, struct faults *faults);

/* An hour of the box on its bucket: no thermostat, the water warms by 0.6 to 0.8 K/min from the
 * air's temperature to 40 K above it. A row every 15 s; the form of the rig's log. */
bool logs_bucket(uint64_t draw, const struct sensor_errors *errors, const struct fluid *fluid,
                 struct text *csv, struct faults *faults);

#endif
