#include "sky/clear.h"

#define ALTITUDE_MOST_KM 2.5

struct clear_sky clear_sky_at(double sin_height, double altitude_m, double above_air_W_m2)
{
    double km = fmin(fmax(altitude_m * 1e-3, 0), ALTITUDE_MOST_KM);
    if (!(sin_height > 0.01))
        return (struct clear_sky){0, 0};
    double a0 = 0.4237 - 0.00821 * (6 - km) * (6 - km);
    double a1 = 0.5055 + 0.00595 * (6.5 - km) * (6.5 - km);
    double k = 0.2711 + 0.01858 * (2.5 - km) * (2.5 - km);
    double through = a0 + a1 * exp(-k / sin_height);
    return (struct clear_sky){above_air_W_m2 * through,
                              above_air_W_m2 * sin_height * fmax(0.271 - 0.294 * through, 0)};
}

struct clear_plane clear_on_plane(const struct clear_sky *sky, struct vector sun,
                                  const struct plane *plane, double ground)
{
    double global = sky->diffuse + sky->beam_normal * fmax(sun.z, 0);
    return (struct clear_plane){
        sky->beam_normal * fmax(vector_dot(plane->normal, sun), 0),
        sky->diffuse * 0.5 * (1 + plane->normal.z) + ground * global * 0.5 * (1 - plane->normal.z)};
}
