/* Kinds of instrument: documented error figures for who has no certificate. One table that a
 * specialist can proof-read; every figure carries its source and how it is known (read, memory,
 * common practice).
 */
#ifndef DOMAIN_INSTRUMENT_KIND_H
#define DOMAIN_INSTRUMENT_KIND_H

#include "domain/channel.h"
#include "domain/error_source.h"

#include <stdbool.h>
#include <stddef.h>

/* Slots of an instrument's errors: what a stated error replaces. */
enum error_slot {
    SLOT_CALIBRATION, /* gain, or the offset of a thermometer */
    SLOT_AGEING,      /* change of gain or offset a year since the calibration */
    SLOT_LINEARITY,   /* gain at another irradiance than the calibration's */
    SLOT_DIRECTION,   /* beam from the side: SHIFT_DIRECTION */
    SLOT_SPECTRUM,    /* gain under another spectrum */
    SLOT_TEMPERATURE, /* gain at another temperature */
    SLOT_TILT,        /* gain on a slope */
    SLOT_OFFSET,      /* constant offset beside a gain */
    SLOT_SIGNAL,      /* constant offset of what processes the signal */
    SLOT_THERMAL, /* offset by the heat radiation of a clear sky, much the same every clear day */
    SLOT_ZERO,    /* offset that differs from session to session */
    SLOT_DRIFT,   /* gain that differs from session to session */
    SLOT_RESOLUTION, /* one step of the display or converter */
    SLOT_READING,    /* of one window */
    SLOT_COUNT
};
const char *slot_word(enum error_slot slot); /* "calibration": second half of an error's id */

enum figure_shape {
    SHAPE_STANDARD, /* one standard deviation */
    SHAPE_LIMIT,    /* +- limit, rectangular: / sqrt 3 */
    SHAPE_STEP      /* full step: / sqrt 12 */
};

struct kind_figure {
    enum error_slot slot;
    enum shift_target target; /* SHIFT_GAIN: relative; SHIFT_OFFSET, SHIFT_DIRECTION: SI unit, K */
    double value;             /* of SLOT_AGEING: a year */
    enum figure_shape shape;
    const char *source; /* with its mark */
};

enum { KIND_FIGURES = 11, INSTRUMENT_KINDS = 22 };

struct instrument_kind {
    const char *name;     /* "pyranometer class A" */
    unsigned channels;    /* bit 1 << enum channel for each that it can measure */
    const char *help;
    const char *cure;     /* cheapest way to make its calibration error smaller; NULL: the one of
                           * the channel (error_slot_cure) */
    struct kind_figure figures[KIND_FIGURES]; /* value 0 ends */
};

extern const struct instrument_kind instrument_kinds[];
extern const char *const instrument_kind_names[]; /* the same order */
extern const size_t instrument_kinds_n;

/* Standard uncertainty of a figure. */
double figure_u(const struct kind_figure *figure);

/* Whether the kind can measure the channel. */
bool kind_measures(const struct instrument_kind *kind, enum channel channel);

#endif
