/* A rule's figure that the description states in place of the set's: found by its key, read, and
 * refused with what stands there, what is expected and, for a key that is none, the nearest of all
 * keys of the section, those of the criteria (window/criteria.h) among them.
 */
#ifndef WINDOW_RULES_OVERRIDE_H
#define WINDOW_RULES_OVERRIDE_H

#include "base/faults.h"
#include "window/rules.h"

#include <stdbool.h>

/* Overrides one figure.
 * In:      key     a row's key
 *          value   "2 %", "0.2 K", "1 to 5 m/s", "off" (the window and the slot cannot be off);
 *                  any unit of the quantity is accepted, a number without unit is not
 *          at      place of the value in the description
 * Returns: false with an input fault; the figure is then unchanged */
bool rules_override(struct rules *rules, const char *key, const char *value, struct place at,
                    struct faults *faults);

#endif
