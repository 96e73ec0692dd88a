/* Directions of the sky and on the ground as unit vectors: x east, y north, z up. Azimuths count
 * clockwise from north: east 90, south 180, west 270 degrees.
 */
#ifndef SKY_VECTOR_H
#define SKY_VECTOR_H

#include <math.h>

struct vector {
    double x, y, z;
};

static inline double vector_dot(struct vector a, struct vector b)
{
    return a.x * b.x + a.y * b.y + a.z * b.z;
}

static inline struct vector vector_sum(double ka, struct vector a, double kb, struct vector b)
{
    return (struct vector){ka * a.x + kb * b.x, ka * a.y + kb * b.y, ka * a.z + kb * b.z};
}

/* Cross product: normal to both, right-handed. */
static inline struct vector vector_cross(struct vector a, struct vector b)
{
    return (struct vector){a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x};
}

/* The direction of a place in the sky: height above the horizon and azimuth, rad. */
static inline struct vector vector_of(double height_rad, double azimuth_rad)
{
    double flat = cos(height_rad);
    return (struct vector){flat * sin(azimuth_rad), flat * cos(azimuth_rad), sin(height_rad)};
}

static inline double vector_height_rad(struct vector v)
{
    return atan2(v.z, hypot(v.x, v.y));
}

/* 0 up to, not including, 2 pi. Of a vertical direction it is 0. */
static inline double vector_azimuth_rad(struct vector v)
{
    double azimuth = atan2(v.x, v.y);
    return azimuth < 0 ? azimuth + 2 * M_PI : azimuth;
}

#endif
