#include "point/point.h"
#include "sky/diffuse.h"
#include "sky/incidence.h"

#include <math.h>

static struct vector sun_after(const struct means_sun *sun, double seconds)
{
    struct vector at = {sun->at[0], sun->at[1], sun->at[2]};
    struct vector per_s = {sun->per_s[0], sun->per_s[1], sun->per_s[2]};
    struct vector moved = vector_sum(1, at, seconds, per_s);
    double length = sqrt(vector_dot(moved, moved));
    return vector_sum(1 / length, moved, 0, moved);
}

/* How the angle that was formed from the sun's place changes; its projections as they then are. */
static double place(const struct means_sun *sun, const struct shifts *shifts,
                    struct point_value *value)
{
    value->slope_rad = value->across_rad = NAN;
    if (!sun->known || !sun->plane_known)
        return 0;
    struct plane plane = plane_of(sun->tilt_rad, sun->azimuth_rad), moved = plane;
    struct vector at = sun_after(sun, 0), then = at;
    if (shifts != NULL) {
        moved = plane_of(sun->tilt_rad + shifts->tilt_rad, sun->azimuth_rad + shifts->azimuth_rad);
        then = sun_after(sun, -shifts->clock_s);
    }
    struct projections onto = incidence_projections(&moved, then);
    value->slope_rad = onto.slope_rad;
    value->across_rad = onto.across_rad;
    return shifts == NULL ? 0 : incidence_rad(&moved, then) - incidence_rad(&plane, at);
}

/* A channel's mean under shifts; NULL: as it is. */
static double shifted(const struct means *means, enum channel channel,
                      const struct shifts *shifts)
{
    double mean = means->mean[channel];
    return shifts == NULL ? mean : mean * (1 + shifts->gain[channel]) + shifts->offset[channel];
}

/* The share as window/angles.h forms it, from the means. */
static double formed_share(const struct means *means, const struct shifts *shifts,
                           double incidence_rad)
{
    const struct means_sun *sun = &means->sun;
    double tilt_rad = sun->tilt_rad + (shifts == NULL ? 0 : shifts->tilt_rad);
    double later_s = shifts == NULL ? 0 : -shifts->clock_s;
    struct diffuse_scene scene = {sun_after(sun, later_s).z, cos(incidence_rad), cos(tilt_rad),
                                  sun->ground};
    double plane = shifted(means, CH_IRRADIANCE, shifts);
    double level = shifted(means, CH_LEVEL_DIFFUSE, shifts);
    double beam = shifted(means, CH_DIRECT, shifts);
    switch (sun->from) {
    case SHARE_FROM_PLANE:
        return shifted(means, CH_DIFFUSE, shifts) / plane;
    case SHARE_FROM_PAIR:
        beam = diffuse_beam_of_pair(&scene, shifted(means, CH_GLOBAL, shifts), level);
        return diffuse_of_beam(&scene, plane, beam) / plane;
    case SHARE_FROM_DIRECT:
        return diffuse_of_beam(&scene, plane, beam) / plane;
    case SHARE_FROM_LEVEL:
        return diffuse_of_level(&scene, plane, level) / plane;
    }
    return NAN;
}

/* In: incidence_rad   under the shifts
 * A window's mean share is that of its rows; how it moves is taken from the means. */
static double share_shifted(const struct means *means, const struct shifts *shifts,
                            double incidence_rad)
{
    const struct means_sun *sun = &means->sun;
    if (sun->share != SHARE_MEASURED || !means->has[CH_DIFFUSE])
        return sun->diffuse_share + shifts->diffuse_share * sun->u_diffuse_share;
    return sun->diffuse_share + formed_share(means, shifts, incidence_rad) -
           formed_share(means, NULL, means->mean[CH_INCIDENCE]);
}

void point_angles(const struct means *means, const struct shifts *shifts,
                  struct point_value *value)
{
    bool share = means->sun.share != SHARE_UNKNOWN;
    value->incidence_rad = means->has[CH_INCIDENCE] ? means->mean[CH_INCIDENCE] : NAN;
    value->diffuse_share = share ? means->sun.diffuse_share : NAN;
    double change = place(&means->sun, shifts, value);
    if (!means->has[CH_INCIDENCE]) /* an angle that is refused has no projections either */
        value->slope_rad = value->across_rad = NAN;
    if (shifts == NULL)
        return;
    value->incidence_rad += shifts->offset[CH_INCIDENCE] + change;
    if (share)
        value->diffuse_share = fmin(fmax(share_shifted(means, shifts, value->incidence_rad), 0), 1);
}

#define FULL_BEAM_W_M2 1000.0 /* for which the directional response is stated */

double point_direction(const struct means *means, double shift_W_m2)
{
    if (shift_W_m2 == 0 || !means->has[CH_INCIDENCE])
        return shift_W_m2;
    double from_side = sin(fmin(fabs(means->mean[CH_INCIDENCE]), M_PI_2));
    bool shared = means->sun.share != SHARE_UNKNOWN;
    double share = shared ? fmin(fmax(means->sun.diffuse_share, 0), 1) : 0;
    double in_plane = fmax(means->mean[CH_IRRADIANCE] * (1 - share), 0);
    double full = FULL_BEAM_W_M2 * sqrt(1 - from_side * from_side); /* of the plane's beam */
    return shift_W_m2 * from_side * (in_plane < full ? in_plane / full : 1);
}
