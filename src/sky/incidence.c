#include "sky/incidence.h"

static struct vector level(double azimuth_rad)
{
    return (struct vector){sin(azimuth_rad), cos(azimuth_rad), 0.0};
}

/* Tilted by an angle of this sine and cosine towards `ahead`. */
static struct plane tilted(double sine, double cosine, struct vector ahead)
{
    const struct vector up = {0.0, 0.0, 1.0};
    struct plane plane;
    plane.normal = vector_sum(sine, ahead, cosine, up);
    plane.up_slope = vector_sum(-cosine, ahead, sine, up);
    plane.across = vector_cross(plane.normal, plane.up_slope);
    return plane;
}

struct plane plane_of(double tilt_rad, double azimuth_rad)
{
    return tilted(sin(tilt_rad), cos(tilt_rad), level(azimuth_rad));
}

struct plane plane_facing(struct vector normal, double azimuth_rad)
{
    double flat = hypot(normal.x, normal.y), length = hypot(flat, normal.z);
    struct vector ahead = flat > 0.0 ? (struct vector){normal.x / flat, normal.y / flat, 0.0}
                                     : level(azimuth_rad);
    return tilted(flat / length, normal.z / length, ahead);
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
