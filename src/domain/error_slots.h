/* What is known of an instrument's errors, slot by slot: of its kind, or stated, or found by a
 * check.
 */
#ifndef DOMAIN_ERROR_SLOTS_H
#define DOMAIN_ERROR_SLOTS_H

#include "domain/error_source.h"
#include "domain/instrument.h"
#include "domain/instrument_kind.h"

struct error_slot_known {
    bool given;
    enum shift_target target;
    double u; /* standard uncertainty, SI; of SLOT_AGEING a year */
    bool rectangular;
    bool per_sample;
    const char *cure; /* of the kind; NULL: the slot's usual one */
    char origin[ERROR_LABEL_SIZE];
};

/* Fills all slots. What is stated takes the place of the kind's figures of the same slots:
 *
 *   calibration      calibration
 *   drift per year   ageing
 *   offset           offset, signal; of a thermometer calibration too
 *   zero             zero, thermal
 *   resolution, reading
 *
 * A check takes the place of what it measures; a matched thermometer's calibration is its partner's.
 * The directional response is of the sun sensor in the collector's plane alone, and a sensor on the
 * level has no tilt. */
void error_slots(const struct instrument *instrument, struct error_slot_known slots[SLOT_COUNT]);

enum error_kind error_slot_kind(enum error_slot slot);

/* Whether a thermometer that is matched to another moves with it by this slot. */
bool error_slot_shared(enum error_slot slot);

/* "calibration of 'sun' (irradiance in the plane)" */
void error_slot_label(enum error_slot slot, const struct instrument *instrument,
                      char out[ERROR_LABEL_SIZE]);

/* Cheapest way to make it smaller, where the kind does not know a better one. Where a check of the
 * program does it, the cure names the check as the description spells it. */
const char *error_slot_cure(enum error_slot slot, enum channel channel);

#endif
