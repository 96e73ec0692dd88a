/* Instruments: one [instrument NAME] section each, and what is known about its errors.
 *
 * Errors stand in slots. A kind of instrument (domain/instrument_kind.h) fills slots with
 * documented figures; what the description states takes the place of the kind's figure in the same
 * slot. For temperatures `calibration` and `offset` are one slot.
 */
#ifndef DOMAIN_INSTRUMENT_H
#define DOMAIN_INSTRUMENT_H

#include "description/schema.h"
#include "domain/channel.h"
#include "domain/checked.h"
#include "domain/signal.h"

/* How a thermometer of the fluid sits. */
enum mounting { MOUNTING_IMMERSED, MOUNTING_STRAPPED_ON };

/* What is stated of the unit in the head of its column. */
enum head_unit_claim { HEAD_UNIT_RIGHT, HEAD_UNIT_WRONG };

/* A sensor strapped onto a pipe errs towards the air by this share of (t - t_ambient), with this
 * standard uncertainty: our own figures, for a sensor under insulation with paste. */
#define STRAPPED_ON_SHARE 0.02
#define STRAPPED_ON_U 0.01

struct instrument {
    char name[NAME_SIZE];
    struct place head; /* of its section */

    struct stated_choice measures; /* enum channel */
    struct stated_text column;
    struct stated_text log_name;       /* of the [log NAME] that holds the column */
    struct stated_number m3_per_pulse; /* the column holds pulses */
    struct stated_number sensitivity; /* V m2/W; the column holds a voltage */
    struct stated_choice resistance; /* the column holds that of a platinum thermometer */
    struct stated_number lead_ohm;
    struct stated_list pairs; /* of its calibration table, "raw: value" */
    struct stated_text unit_text;
    struct stated_choice head_unit; /* enum head_unit_claim */
    struct stated_number gain; /* value in `unit` = gain * number + add */
    struct stated_number add;
    struct stated_text kind_text;
    struct stated_error calibration;
    struct stated_error ageing; /* a year */
    struct stated_error offset;
    struct stated_error zero;
    struct stated_number resolution; /* SI, K for temperatures, m3 or J of a total */
    struct stated_error reading;
    struct stated_text matched_to;
    struct stated_error pair; /* K */
    struct stated_choice mounting; /* enum mounting */
    struct stated_error mounting_error;
    struct stated_text stuck_text;
    struct stated_text spike_text;
    struct stated_text id;
    struct stated_text swap; /* when another took its place, and which */
    struct stated_text serial;
    struct stated_text certificate;
    struct stated_date calibrated;
    struct stated_date due;
    struct stated_text note;

    /* Settled by instrument_settle. */
    size_t log; /* 0: [log]; k: the k-th [log NAME]; set once these were read */
    enum channel channel;
    struct stated_choice kind; /* index into instrument_kinds */
    const struct unit *unit; /* NULL until the unit was understood; W/m2 with a
                                sensitivity, degC with a resistance */
    double gain_value;       /* 1 by default; with a sensitivity divided by it */
    double add_value;        /* 0 by default, in `unit` */
    struct signal signal;    /* kind SIGNAL_NONE: gain and add say it all; else x = gain * number +
                                add is what it takes */
    double stuck_s;          /* 0: by default; below 0: off */
    double spike_si;         /* the same */
    double mounting_share;   /* reads low by this share of (t - t_ambient); 0 if immersed */
    double u_mounting;       /* its standard uncertainty */

    /* Settled by run/swaps.h. */
    bool swapped;
    int64_t swap_us;          /* from then on ... */
    char swap_id[VALUE_SIZE]; /* ... the instrument of this id stood in its place */

    /* Found by check runs (run/check.h); nothing until they were made. */
    struct checked checked_offset; /* of a thermometer */
    struct checked checked_zero;   /* of a sun sensor */
    struct checked checked_gain;   /* of a flow meter */
};

extern const struct schema instrument_schema; /* [instrument NAME] */

/* Whether its column holds a total that only rises, of which its channel is the rise. */
bool instrument_is_total(const struct instrument *instrument);

/* Settles and checks what depends on several keys: unit, a kind that suits the channel, pair.
 * In:      whole  every value of the section was right; if not, keys that seem absent may only be
 *                 wrong, and the checks for them are left out
 * Returns: false with a fault for each contradiction (none if `measures` was wrong) */
bool instrument_settle(struct instrument *instrument, bool whole, const char *file,
                       struct faults *faults);

/* Checks between instruments: one channel measured twice, one column read twice, pairs.
 * Returns: false with all faults. */
bool instruments_check(const struct instrument *instruments, size_t n, const char *file,
                       struct faults *faults);

/* NULL if there is none. */
const struct instrument *instrument_find(const struct instrument *instruments, size_t n,
                                         const char *name);
const struct instrument *instrument_of_channel(const struct instrument *instruments, size_t n,
                                               enum channel channel);

#endif
