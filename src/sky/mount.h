/* Mount: which way the collector looks while the sun moves.
 */
#ifndef SKY_MOUNT_H
#define SKY_MOUNT_H

#include "sky/incidence.h"

enum mount_kind { MOUNT_FIXED, MOUNT_ONE_AXIS, MOUNT_TWO_AXES };

struct mount {
    enum mount_kind kind;
    double tilt_rad;    /* fixed */
    double azimuth_rad; /* fixed; otherwise of a plane that lies level */
    struct vector axis; /* one axis: the direction of the axis */
    double from_axis_rad; /* one axis: angle between it and the collector's normal, mostly 90 deg */
};

struct mount mount_fixed(double tilt_rad, double azimuth_rad);

/* Turns about one axis so that the sun stands as near to the normal as it can.
 * In: axis_height 0 (level) to pi/2 (upright); azimuth of its upper end
 *     tilt   of the collector, which counts on an upright axis alone (a turntable); on any
 *            other the axis lies in the collector's plane */
struct mount mount_one_axis(double axis_height_rad, double axis_azimuth_rad, double tilt_rad);

/* Looks at the sun. */
struct mount mount_two_axes(void);

/* The collector's plane under a sun; a tracker's is the ideal one, without end stops. */
struct plane mount_plane(const struct mount *mount, struct vector sun);

#endif
