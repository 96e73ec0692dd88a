/* Clock fit: one day's sunshine laid over the shapes that a clear sky may have on a plane.
 *
 * How fast the beam fades towards the horizon depends on the haze, which nobody measured. On a
 * plane that does not face the noon sun a hazier morning looks like a later one, by up to 25 min.
 * So the day is laid over a family of skies, beam exp(-k m^p) with m the air mass: from clean
 * mountain air to thick haze, fading as one colour does (p 1) and as all sunshine together does
 * (p 0.7). The lag is the mean over the family, each sky weighed by how well it fits, and their
 * scatter is what the haze leaves open.
 *
 * Source: p 0.678 and k 0.357 as a mean sky: A. B. Meinel and M. P. Meinel, Applied Solar Energy
 *         (1976), from memory; air mass: F. Kasten and A. T. Young, Applied Optics 28 (1989) 4735,
 *         from memory. The range of k and the weights are our figures.
 */
#ifndef SKY_CLOCK_FIT_H
#define SKY_CLOCK_FIT_H

#include "sky/clear.h"
#include "sky/clock.h"

/* A clear bin counts; fewer than the first are no day, the second are a long one: three hours and
 * five. */
enum { CLOCK_LEAST_BINS = 36, CLOCK_LONG_BINS = 60 };

/* The sun over a day, from half a day before it to half a day after. */
enum { CLOCK_MARGIN = CLOCK_BINS / 2, CLOCK_TABLE = 2 * CLOCK_BINS };
struct clock_table {
    double above_air_W_m2;
    struct vector sun[CLOCK_TABLE];
    double air_mass[CLOCK_TABLE]; /* INFINITY with the sun down */
    struct clear_plane plane[CLOCK_TABLE]; /* of the sky and plane looked at last */
};

struct clock_fit {
    double lag_min;    /* by which the log's clock is behind */
    double u_sky_min;  /* what the haze leaves open of it */
    double turned_rad; /* the turn of the plane that would do the same; NaN: none, or not asked */
    double misfit;     /* part of the mean sunshine that the best sky leaves over */
    bool shaped;       /* it follows a clear sky, with a turn in it */
    bool unlike;       /* a long day that follows none */
};

/* In:      day     with CLOCK_LEAST_BINS clear bins or more
 *          turn    whether the turn is asked for: it takes as long as all else
 * Out:     table   scratch
 * Returns: all zero and not shaped where too few bins are left once strays are dropped */
struct clock_fit clock_fit_day(const struct clock_question *question, const struct clock_day *day,
                               bool turn, struct clock_table *table);

#endif
