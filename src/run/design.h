/* Design audit: what the points of a test can hold, judged before any fit.
 */
#ifndef RUN_DESIGN_H
#define RUN_DESIGN_H

#include "base/faults.h"
#include "point/point.h"

#include <stdbool.h>
#include <stddef.h>

enum { DESIGN_LEVELS_MAX = 64 };

/* Two points belong to one level when their temperature differences to the air differ by no more
 * than this. Our own figure: wide enough for a bath that wanders, narrow enough that 3 K apart is a
 * different temperature. */
#define DESIGN_LEVEL_WIDTH_K 3.0

struct design_level {
    double rise_K;  /* mean difference to the air, on the basis of the run */
    double fluid_K; /* the same of the mean of inlet and outlet */
    size_t points;
    size_t before_noon; /* only counted where times and longitude are known */
    size_t after_noon;
};

struct design {
    size_t points; /* those not left out */
    size_t n_levels;
    struct design_level levels[DESIGN_LEVELS_MAX];
    double least_K; /* smallest and largest difference to the air */
    double most_K;
    bool noon_known;
    size_t sessions;
    double least_x, most_x; /* tested range of the reduced temperature */
    double least_g, most_g;
    double least_flow_kg_s, most_flow_kg_s; /* least > most when unknown */
    size_t wind_points;                    /* points whose wind was measured */
    double least_wind_m_s, most_wind_m_s, mean_wind_m_s;
    size_t sky_points;
    double mean_sky_K; /* sky less air */
};

/* What a form needs. One table; our own figures, given with their reason in docs/methods.md. */
struct design_need {
    const char *form;
    size_t points;
    size_t levels;
    double spread_K;
    double wind_m_s; /* between the calmest and the windiest point; 0: wind does not matter */
};
const struct design_need *design_need(const char *form);

/* Mean of inlet and outlet above the air; of a reduced point, what its T* refers to. */
double design_fluid_K(const struct point *point);

/* In: longitude_rad NaN if not stated (noon then unknown); east positive. */
void design_audit(struct design *design, const struct point *points, size_t n,
                  double longitude_rad);

/* Whether the design holds the form. */
bool design_holds(const struct design *design, const char *form);

/* The same, adding the data fault (found, needed, what to do) when it does not. */
bool design_require(const struct design *design, const char *form, struct faults *faults);

/* The richest form without wind that the design holds: "second order", "line", "mean"; NULL without
 * a point. */
const char *design_best_form(const struct design *design);

/* Whether the wind was measured at every point. */
bool design_has_wind(const struct design *design);

/* The level whose mean difference to the air is nearest. Returns: its index, 0 without a level. */
size_t design_level_of(const struct design *design, double rise_K);

#endif
