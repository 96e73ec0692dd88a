/* More sunshine than there is: a wrong gain or unit of the sun sensor makes every efficiency too
 * low, and looks like a poorer collector. */
#include "run/doubt_parts.h"

#include "run/doubt_say.h"
#include "sky/clear.h"
#include "sky/diffuse.h"

#include <math.h>
#include <stdio.h>

/* W/m2 that no mean of ten steady minutes reaches anywhere: above the air 1316 to 1408; facing the
 * sun 1000 to 1150 at sea level, 1250 high in the mountains with snow around (common practice, from
 * memory). Clouds beside the sun give more than that for a minute, which no steady window holds. */
#define BRIGHTEST 1250.0

/* Where the plane is known: beyond the clear sky's (sky/clear.h), which is of 23 km of visibility.
 * The clearest air lets some 17 % more of the beam through and scatters a third less, 11 % more in
 * all (from memory); a sensor may read 5 % high. Snow and height stand in the estimate itself,
 * where [site] does not say otherwise. Together a sixth; our own figure is a fifth. */
#define CLEARER 1.2
#define SNOW 0.85
#define HIGH_M 2500.0

/* The beam above the air on the day of the last point that was asked for: within a day it changes by
 * less than 1 in 1,000, and takes as long to find as to read a thousand rows. */
struct above_air {
    bool known;
    int64_t session;
    double beam_W_m2;
};

static double above_air_W_m2(struct above_air *last, const struct site *site,
                             const struct means *means)
{
    struct sun sun;
    if (last->known && last->session == means->session)
        return last->beam_W_m2;
    sun_init(&sun, site->latitude_rad.value, site->longitude_rad.value, HIGH_M);
    *last = (struct above_air){true, means->session,
                               diffuse_above_air(sun_distance_au(&sun, means->start_us))};
    return last->beam_W_m2;
}

static double plane_most(const struct site *site, struct above_air *last, const struct means *means)
{
    const struct means_sun *s = &means->sun;
    struct vector at = {s->at[0], s->at[1], s->at[2]};
    double altitude_m = site->altitude_m.at.given ? site->altitude_m.value : HIGH_M;
    double ground = site->ground.at.given ? site->ground.value : SNOW;
    struct plane plane = plane_of(s->tilt_rad, s->azimuth_rad);
    struct clear_sky sky = clear_sky_at(at.z, altitude_m, above_air_W_m2(last, site, means));
    struct clear_plane on = clear_on_plane(&sky, at, &plane, ground);
    return CLEARER * (on.beam + on.diffuse);
}

/* The most that is believed of a point. */
static double most_of(const struct doubted *of, struct above_air *last, const struct means *means)
{
    if (!means->sun.known || !means->sun.plane_known)
        return BRIGHTEST;
    return fmin(BRIGHTEST, plane_most(&of->reduction->setup.site, last, means));
}

struct bright {
    size_t n, beyond;
    const struct means *worst; /* the one farthest beyond */
    double most_W_m2;          /* believed of it */
};

static struct bright look(const struct doubted *of)
{
    struct bright seen = {0};
    struct above_air last = {0};
    double farthest = 0;
    for (size_t i = 0; i < of->n; i++) {
        const struct means *means = of->points[i].means;
        if (of->points[i].left_out || !means->has[CH_IRRADIANCE])
            continue;
        double most = most_of(of, &last, means);
        double beyond = means->mean[CH_IRRADIANCE] - most;
        seen.n++;
        seen.beyond += beyond > 0;
        if (beyond > farthest) {
            farthest = beyond;
            seen.worst = means;
            seen.most_W_m2 = most;
        }
    }
    return seen;
}

/* Half of the points or more: one or two may be clouds that throw light. */
bool doubt_bright(const struct doubted *of, struct document *doc, struct faults *faults)
{
    char found[320];
    if (of->reduction->angles.lamp)
        return true;
    struct bright seen = look(of);
    if (seen.worst == NULL || 2 * seen.beyond < seen.n)
        return true;
    snprintf(found, sizeof found,
             "%zu of %zu points have more sunshine than a clear sky gives over ten minutes; point "
             "'%.60s' %.0f W/m2, where %.0f is the most that is believed",
             seen.beyond, seen.n, seen.worst->name, seen.worst->mean[CH_IRRADIANCE],
             seen.most_W_m2);
    return doubt_say(of, "This cannot be true as it stands: ", found,
                     of->reduction->from_log
                         ? "look at the unit, the gain and the calibration of the sun sensor: the "
                           "efficiency is too low by as much as the sunshine is too high; under a "
                           "lamp, say 'mount = lamp' in [site]"
                         : "look at the unit of the sunshine and the sensor's calibration: the "
                           "efficiency is too low by as much as the sunshine is too high; under a "
                           "lamp, say 'mount = lamp' in [site]",
                     doc, faults);
}
