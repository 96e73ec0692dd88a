/* Build: a stated construction as numbers that the physics can work with, and one row of the
 * registry of errors for each property that is not exactly known. Moving a row is the only way a
 * property varies: for the spread of a prediction and for the search of what would explain a
 * measurement alike.
 */
#ifndef STUDY_BUILD_H
#define STUDY_BUILD_H

#include "domain/construction.h"
#include "domain/error_source.h"
#include "physics/plate.h"
#include "run/setup.h"
#include "study/conditions.h"

#include <stdbool.h>
#include <stddef.h>

/* The unit of a move: "added" to the value, or the "log" of a factor on it. */
enum property {
    PROP_TRANSMITTANCE,   /* of every pane, added */
    PROP_COVER_EMITTANCE, /* added */
    PROP_GAP,             /* log */
    PROP_ABSORPTANCE,     /* added */
    PROP_EMITTANCE,       /* added */
    PROP_SHEET,           /* conductivity times thickness, log */
    PROP_BOND,            /* log */
    PROP_FILM,            /* log */
    PROP_BACK,            /* conductivity, log */
    PROP_EDGE,            /* log */
    PROP_WIND,            /* the wind's coefficient, log */
    PROP_CONVECTION,      /* in the gaps, log */
    PROP_SKY,             /* its temperature, K added */
    PROPERTIES
};

struct property_row {
    const char *id;    /* "absorber.emittance" */
    const char *label; /* "emittance of the absorber" */
    const char *unit;  /* of the value, "" for a share */
    bool is_log;
    const char *cure; /* how to know it better */
    bool common;      /* a formula's or the weather's: the same unknown whatever is built */
};
const struct property_row *property_row(enum property property);

/* Longest limit a material is used at, and whose. */
struct build_limit {
    const char *part; /* "insulation behind the absorber" */
    char material[80];
    double limit_degC; /* NAN: not known */
    const char *source;
    bool at_cover; /* it is as warm as the covers, not as the absorber */
    bool conducts; /* an insulation: beyond its limit its conductivity is carried on */
};
enum { BUILD_LIMITS = 5 };

struct build {
    struct plate plate;
    struct plate_weather weather;
    struct plate_flow flow; /* its temperature is set by who solves */
    double reference_m2;
    double transmittance[COVER_MOST]; /* of each pane at right angles */
    double index[COVER_MOST];
    double film_W_m2K;
    bool film_computed;
    bool area_assumed; /* the absorber's area is not stated: the aperture's, or the gross */
    bool perimeter_assumed;
    double tubes_area_m2; /* number * spacing * length; NAN if the length is not stated */
    double u[PROPERTIES]; /* standard uncertainties; 0: exact, or it does not exist here */
    char origin[PROPERTIES][ERROR_LABEL_SIZE];
    struct build_limit limits[BUILD_LIMITS];
    size_t n_limits;
};

/* Puts a construction together.
 * In:      construction  whole (construction_whole)
 * Returns: false with an input fault where a figure lies outside what can be worked with */
bool build_make(struct build *build, const struct construction *construction,
                const struct test_setup *setup, const struct conditions *conditions,
                enum plate_basis basis, struct faults *faults);

/* The value of a property as it stands, in its own unit: of the outermost pane, W/(m K) of the
 * bond. */
double build_value(const struct build *build, enum property property);

/* Moves a property of a copy by an amount in the unit of its row. Values beyond what can exist
 * (absorptance above 1, transmittance above 1) are taken as they are, so that a search can tell
 * that only they would do: light that is not there is then let in by a larger lit area. */
void build_move(struct build *build, enum property property, double amount);

/* The registry of all properties with an uncertainty. */
bool build_registry(const struct build *build, struct error_registry *registry,
                    struct faults *faults);

/* A row of that registry moves its copy. */
void build_move_row(struct build *build, const struct error_source *row, double value);

#endif
