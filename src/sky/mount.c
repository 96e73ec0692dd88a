#include "sky/mount.h"

#include <stdbool.h>

/* An axis within this of upright turns a table. */
#define UPRIGHT_RAD 1e-6

struct mount mount_fixed(double tilt_rad, double azimuth_rad)
{
    return (struct mount){
        .kind = MOUNT_FIXED, .tilt_rad = tilt_rad, .azimuth_rad = azimuth_rad};
}

struct mount mount_one_axis(double axis_height_rad, double axis_azimuth_rad, double tilt_rad)
{
    bool upright = axis_height_rad > M_PI_2 - UPRIGHT_RAD;
    return (struct mount){.kind = MOUNT_ONE_AXIS,
                          .azimuth_rad = axis_azimuth_rad,
                          .axis = vector_of(axis_height_rad, axis_azimuth_rad),
                          .from_axis_rad = upright ? tilt_rad : M_PI_2};
}

struct mount mount_two_axes(void)
{
    return (struct mount){.kind = MOUNT_TWO_AXES};
}

/* The normal lies in the plane of axis and sun, on the sun's side. */
static struct vector turned_normal(const struct mount *mount, struct vector sun)
{
    struct vector beside = vector_sum(1, sun, -vector_dot(sun, mount->axis), mount->axis);
    double length = sqrt(vector_dot(beside, beside));
    if (!(length > 0))
        return mount->axis;
    return vector_sum(cos(mount->from_axis_rad), mount->axis, sin(mount->from_axis_rad) / length,
                      beside);
}

struct plane mount_plane(const struct mount *mount, struct vector sun)
{
    switch (mount->kind) {
    case MOUNT_ONE_AXIS:
        return plane_facing(turned_normal(mount, sun), mount->azimuth_rad);
    case MOUNT_TWO_AXES:
        return plane_facing(sun, mount->azimuth_rad);
    case MOUNT_FIXED:
        break;
    }
    return plane_of(mount->tilt_rad, mount->azimuth_rad);
}
