/* Error sources: everything known to be uncertain, one row each, whatever it comes from
 * (instrument, area, fluid, later tilt and clock). The registry owns copies of its rows.
 *
 *   calibration   one unknown value for the instrument and the whole test; does not average down
 *   session       one unknown value per session (day); averages over sessions only
 *   reading       one per window; averages over windows
 *
 * A row moves one target or several together: the common error of a matched pair moves both probes.
 */
#ifndef DOMAIN_ERROR_SOURCE_H
#define DOMAIN_ERROR_SOURCE_H

#include "base/faults.h"
#include "domain/channel.h"
#include "domain/means.h"

#include <stdbool.h>
#include <stddef.h>

enum error_kind { ERROR_CALIBRATION, ERROR_SESSION, ERROR_READING };
const char *error_kind_word(enum error_kind kind); /* "calibration" */

/* What a row shifts. Gains are relative (0.01 = reads 1 % high), offsets in the channel's SI unit
 * (K for temperatures). */
enum shift_target {
    SHIFT_GAIN,       /* of a channel */
    SHIFT_OFFSET,     /* of a channel */
    SHIFT_AREA,       /* relative, reference area */
    SHIFT_CP,         /* relative, specific heat */
    SHIFT_DENSITY,    /* relative */
    SHIFT_FRACTION,   /* points of the mixture (0.02 = 2 of 100): moves cp and density together */
    SHIFT_CAPACITY,   /* J/(m2 K), heat capacity of the collector */
    SHIFT_DRIFT,      /* K/s, change of the mean fluid temperature with time */
    SHIFT_MOUNTING,   /* of a channel: share of (t - t_ambient) by which a strapped-on sensor reads
                         low */
    SHIFT_PIPE,       /* of a channel: W/K, heat loss of the pipe between sensor and collector */
    SHIFT_LOSS,       /* W/m2, heat loss at whatever temperature: a sky that is not as thought */
    SHIFT_LOSS_SLOPE, /* W/(m2 K), heat loss per degree: a wind that is not as thought */
    SHIFT_PROPERTY,   /* of a construction, in the property's own unit: moved by study/build.h alone
                       */
    SHIFT_TILT,       /* rad, of the collector's plane */
    SHIFT_AZIMUTH,    /* rad */
    SHIFT_CLOCK,      /* s by which the log's clock is ahead */
    SHIFT_DIRECTION,  /* W/m2 that the sun sensor in the plane reads more, of a beam of 1000 W/m2
                         from  the side; less as the beam comes nearer to its normal (point/point.h)
                       */
    SHIFT_DIFFUSE_SHARE, /* of the sunshine, in standard uncertainties of each point's own */
    SHIFT_COUNT
};

enum { ERROR_ID_SIZE = 64, ERROR_LABEL_SIZE = 120, ERROR_TARGETS = 4 };

struct error_target {
    enum shift_target what;
    enum channel channel; /* for targets of a channel */
    double weight;        /* shift = weight * row's value */
};

struct error_source {
    char id[ERROR_ID_SIZE];       /* "sun.calibration": stable, in results.json */
    char label[ERROR_LABEL_SIZE]; /* "calibration of the pyranometer 'sun'" */
    char cure[ERROR_LABEL_SIZE];  /* cheapest way to make it smaller; "" if none is known */
    char instrument_id[ERROR_ID_SIZE]; /* serial or certificate; "" = not stated (never shared) */
    char origin[ERROR_LABEL_SIZE];     /* "stated" or the documented kind it was expanded from */
    enum error_kind kind;
    double u;   /* standard uncertainty, >= 0, in the unit of the first target */
    bool rectangular; /* stated as a limit or a step: what a Monte Carlo draws; otherwise normal */
    bool per_sample; /* reading kind: u is of one sample; a mean of n readings has u / sqrt(n) */
    double dof; /* degrees of freedom; INFINITY if not stated */
    size_t property; /* of SHIFT_PROPERTY: an enum property of study/build.h */
    size_t n_targets;
    struct error_target targets[ERROR_TARGETS];
    bool
        bounded; /* of an instrument that was swapped: acts on means that begin within these only */
    int64_t from_us, until_us;
};

/* Writes a text of a row as printf does.
 * In:      out, size  room for it and a NUL: ERROR_ID_SIZE or ERROR_LABEL_SIZE
 * Out:     out        cut where it does not fit, at a character; the parts are bounded by a line of
 *                     the description */
void error_print(char *out, size_t size, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/* Whether a row can move these means: always, unless it is bounded. Means without a time are such
 * as are yet to come (a test's own have theirs, see run/swaps.h): what stands there last will
 * measure them. */
bool error_source_acts(const struct error_source *row, const struct means *means);

struct error_registry {
    struct error_source *rows;
    size_t n;
    size_t capacity;
};

void registry_init(struct error_registry *registry);
void registry_free(struct error_registry *registry);
bool registry_add(struct error_registry *registry, const struct error_source *row,
                  struct faults *faults);

/* The shift of every target at once; all zero is the measured state. */
struct shifts {
    double gain[CH_COUNT];
    double offset[CH_COUNT];
    double mounting[CH_COUNT];
    double pipe_W_K[CH_COUNT];
    double area;
    double cp;
    double density;
    double fraction;
    double capacity_J_m2K;
    double drift_K_s;
    double loss_W_m2;
    double loss_W_m2K;
    double tilt_rad;
    double azimuth_rad;
    double clock_s;
    double direction_W_m2;
    double diffuse_share; /* times each point's own standard uncertainty */
};

/* Where a target's shift stands in `shifts`. */
double *shifts_slot(struct shifts *shifts, const struct error_target *target);

/* Adds `value` (in units of the row's first target) of a row to the shifts. */
void shifts_add(struct shifts *shifts, const struct error_source *row, double value);

#endif
