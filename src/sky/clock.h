/* Clock: whether the sunshine of clear days rises and falls when it should.
 *
 * The days' clear stretches are laid over the shapes that a clear sky may have on the plane
 * (sky/clock_fit.h), its beam and its diffuse each scaled to the day, and the time is sought by
 * which they fit best. The same lag comes from a plane that faces another way than stated: the two
 * are nearly one for a tilted plane, so both answers are given.
 *
 * u_min holds what haze can do: haze that drifts over a day looks like a lag of some minutes (the
 * scatter of the days, at least CLOCK_U_DAY_MIN for one and never less than CLOCK_U_LEAST_MIN, our
 * figures); haze of an unknown thickness does on a plane that looks away from the noon sun (what
 * the family of skies leaves open, which no number of days averages down).
 */
#ifndef SKY_CLOCK_H
#define SKY_CLOCK_H

#include "sky/incidence.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { CLOCK_BINS = 288, CLOCK_DAYS = 6 }; /* five minutes each; days that are kept */
#define CLOCK_BIN_US INT64_C(300000000)
#define CLOCK_U_DAY_MIN 4.0
#define CLOCK_U_LEAST_MIN 2.0

/* One day's sunshine. */
struct clock_day {
    int64_t start_us;         /* by the log's clock: midnight of mean solar time, about */
    float mean[CLOCK_BINS];   /* W/m2; NaN where nothing was read */
    bool clear[CLOCK_BINS];   /* as smooth as a clear sky */
    size_t n_clear;
};

enum clock_verdict {
    CLOCK_NO_DAY,    /* no stretch of three clear hours */
    CLOCK_NO_SHAPE,  /* it follows no clear sky, or the stretch has no turn in it */
    CLOCK_FITS,      /* within its own uncertainty */
    CLOCK_EITHER,    /* off: the clock or the azimuth, and it cannot be told which */
    CLOCK_ZONE,      /* off for sure, by about a multiple of 15 min, and the azimuth cannot be what
                        is wrong */
    CLOCK_ELSEWHERE  /* off for sure, and neither will do: place, tilt or direction is another */
};

struct clock_answer {
    enum clock_verdict verdict;
    size_t days;   /* that follow a clear sky at some time */
    size_t unlike; /* others of five clear hours or more, which follow none at any time */
    double lag_min;     /* by which the log's clock is behind (above 0) or ahead */
    double u_min;
    double azimuth_rad; /* by which the azimuth would be larger instead; NaN: none, or it fits */
    double misfit;      /* what is left between sunshine and shape, of the mean sunshine; where
                           `days` is 0, of the days that are unlike */
};

/* What the answer is asked for. */
struct clock_question {
    double latitude_rad, longitude_rad, altitude_m;
    double tilt_rad, azimuth_rad;
    double u_azimuth_rad; /* standard uncertainty as stated; NaN: 10 degrees count as possible */
    double ground;
};

/* Marks what is clear in a day from its bins and their swing (largest less smallest reading).
 * Out: clear, n_clear. */
void clock_mark_clear(struct clock_day *day, const float swing[CLOCK_BINS]);

/* In: days   n of them, at most CLOCK_DAYS count */
struct clock_answer clock_ask(const struct clock_question *question, const struct clock_day *days,
                              size_t n);

#endif
