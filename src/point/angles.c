#include "point/point.h"
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

static double share_shifted(const struct means *means, const struct shifts *shifts)
{
    const struct means_sun *sun = &means->sun;
    if (sun->share != SHARE_MEASURED || !means->has[CH_DIFFUSE])
        return sun->diffuse_share + shifts->diffuse_share * sun->u_diffuse_share;
    double diffuse = means->mean[CH_DIFFUSE] * (1 + shifts->gain[CH_DIFFUSE]) +
                     shifts->offset[CH_DIFFUSE];
    double total = means->mean[CH_IRRADIANCE] * (1 + shifts->gain[CH_IRRADIANCE]) +
                   shifts->offset[CH_IRRADIANCE];
    return diffuse / total;
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
        value->diffuse_share = fmin(fmax(share_shifted(means, shifts), 0), 1);
}

#define FULL_BEAM_W_M2 1000.0 /* for which the directional response is stated */

double point_direction(const struct means *means, double shift_W_m2)
{
    if (shift_W_m2 == 0 || !means->has[CH_INCIDENCE])
        return shift_W_m2;
    double angle_rad = means->mean[CH_INCIDENCE];
    bool shared = means->sun.share != SHARE_UNKNOWN;
    double share = shared ? fmin(fmax(means->sun.diffuse_share, 0), 1) : 0;
    double in_plane = fmax(means->mean[CH_IRRADIANCE] * (1 - share), 0);
    double full = FULL_BEAM_W_M2 * fmax(cos(angle_rad), 0); /* of the plane's beam */
    return shift_W_m2 * sin(fmin(fabs(angle_rad), M_PI_2)) * (in_plane < full ? in_plane / full : 1);
}
