/* Incidence: how light of one direction falls on a plane.
 *
 * A plane is tilted from the horizontal and faces an azimuth, clockwise from north: the direction
 * into which its normal leans. A horizontal plane has an azimuth as well: that of its lower edge
 * were it tilted.
 */
#ifndef SKY_INCIDENCE_H
#define SKY_INCIDENCE_H

#include "sky/vector.h"

struct plane {
    struct vector normal;   /* out of the front */
    struct vector up_slope; /* in the plane, up its steepest line */
    struct vector
        across; /* in the plane, level: normal x up_slope, west for a plane facing south */
};

/* In: tilt 0 (horizontal) to pi; any azimuth. */
struct plane plane_of(double tilt_rad, double azimuth_rad);

/* The plane with this normal; of a vertical normal the azimuth is taken as given. */
struct plane plane_facing(struct vector normal, double azimuth_rad);

/* Angle between a direction and the plane's normal, 0 to pi: from the components along the plane
 * and across it, so that it is exact near 0 as well. */
double incidence_rad(const struct plane *plane, struct vector direction);

/* The two projected angles, -pi/2 to pi/2 where the direction lies before the plane:
 * tan^2(incidence) = tan^2(slope) + tan^2(across). Where tubes or reflectors run up the slope,
 * `slope` is the longitudinal and `across` the transversal angle; where they lie level it is the
 * other way round. Positive: above the normal; towards `across`. */
struct projections {
    double slope_rad;
    double across_rad;
};
struct projections incidence_projections(const struct plane *plane, struct vector direction);

#endif
