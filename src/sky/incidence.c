#include "sky/incidence.h"

struct plane plane_of(double tilt_rad, double azimuth_rad)
{
    struct vector ahead = {sin(azimuth_rad), cos(azimuth_rad), 0.0};
    const struct vector up = {0.0, 0.0, 1.0};
    struct plane plane;
    plane.normal = vector_sum(sin(tilt_rad), ahead, cos(tilt_rad), up);
    plane.up_slope = vector_sum(-cos(tilt_rad), ahead, sin(tilt_rad), up);
    plane.across = vector_cross(plane.normal, plane.up_slope);
    return plane;
}

struct plane plane_facing(struct vector normal, double azimuth_rad)
{
    double flat = hypot(normal.x, normal.y);
    return plane_of(atan2(flat, normal.z), flat > 0.0 ? vector_azimuth_rad(normal) : azimuth_rad);
}

double incidence_rad(const struct plane *plane, struct vector direction)
{
    double along = hypot(vector_dot(plane->up_slope, direction),
                         vector_dot(plane->across, direction));
    return atan2(along, vector_dot(plane->normal, direction));
}

struct projections incidence_projections(const struct plane *plane, struct vector direction)
{
    double out = vector_dot(plane->normal, direction);
    return (struct projections){atan2(vector_dot(plane->up_slope, direction), out),
                                atan2(vector_dot(plane->across, direction), out)};
}
