/* From instruments, collector and fluid to the rows of the error registry.
 *
 *   sun.calibration     gain of a channel, or offset of a thermometer      calibration
 *   sun.ageing          the same, since it was calibrated                  calibration
 *   sun.linearity, .spectrum, .temperature, .tilt  gain of a channel       calibration
 *   sun.direction       beam from the side                                 calibration
 *   sun.offset          constant offset beside the gain                    calibration
 *   sun.signal          the same of what processes the signal              calibration
 *   sun.thermal         zero under a clear sky                             calibration
 *   sun.zero            offset of the session                              session
 *   sun.drift           gain of the session                                session
 *   sun.resolution      step / sqrt 12                                     reading
 *   sun.reading         stated reading error                               reading
 *   outlet.pair         what a matched probe has of its own                calibration
 *   outlet.mounting     share of a strapped-on thermometer                 calibration
 *   pipe inlet.loss     heat loss between sensor and collector             calibration
 *   area, fluid.cp, fluid.density, capacity                                calibration
 *   outlet.check        scatter of a check run's readings                  calibration
 *   outlet.left         what that check cannot tell                        calibration
 *   sun.zero left       the same of a zero                                 session
 *   fluid.fraction                  of a built-in glycol: both at once      calibration
 *
 * The calibration offset of a probe to which another is matched moves both channels together.
 */
#ifndef DOMAIN_ERROR_EXPAND_H
#define DOMAIN_ERROR_EXPAND_H

#include "domain/collector.h"
#include "domain/error_source.h"
#include "domain/fluid_choice.h"
#include "domain/instrument.h"
#include "domain/pipe.h"

/* Adds all rows; those of ageing as long as it is not known when the test began (errors_age). An
 * instrument for which neither a kind nor an error is stated adds no row and a warning: its error
 * then counts as nought.
 * In:      choice, fluid  as stated and as chosen by fluid_choose
 *          file           of the description, for warnings
 * Returns: false only when memory is short. */
bool errors_expand(const struct instrument *instruments, size_t n, const struct pipes *pipes,
                   const struct collector *collector, const struct fluid_choice *choice,
                   const struct fluid *fluid, const char *file, struct error_registry *registry,
                   struct faults *faults);

/* What is stated (or of a kind) before any check, standard uncertainty, SI; 0 if nothing is.
 * offset: of a thermometer, constant through the test; of a matched one with that of the other.
 * resolution: of one reading. gain: relative. zero: of a sun sensor, constant and of the day
 * together. */
double error_of_offset(const struct instrument *instruments, size_t n,
                       const struct instrument *instrument);
double error_of_resolution(const struct instrument *instrument);
double error_of_gain(const struct instrument *instrument);
double error_of_zero(const struct instrument *instrument);

/* How far the zero of a sun sensor may be off by all that is stated of it or was left by its check,
 * W/m2: a limit where one is stated, else two standard uncertainties; 0 if nothing is. */
double error_of_zero_most(const struct instrument *instrument);

#endif
