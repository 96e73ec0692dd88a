#include "sky/diffuse.h"

#include <math.h>

#define SUN_W_M2 1361.0
#define LOWEST_COS_ZENITH 0.0872 /* cos 85 degrees */
#define HORIZON_COS_ZENITH 0.0175
/* Erbs' split says clear from about here on: a diffuse share of less than a quarter. */
#define CLEAR_SHARE 0.25
#define U_CLEAR 0.05
#define U_CLOUDY 0.15
enum { HALVINGS = 40 };
#define CLEARNESS_MOST 1.2

static double sky_view(const struct diffuse_scene *scene)
{
    return 0.5 * (1 + scene->cos_tilt);
}

static double ground_part(const struct diffuse_scene *scene)
{
    return scene->ground * 0.5 * (1 - scene->cos_tilt);
}

double diffuse_of_beam(const struct diffuse_scene *scene, double plane, double beam_normal)
{
    return plane - beam_normal * fmax(scene->cos_incidence, 0);
}

double diffuse_of_level(const struct diffuse_scene *scene, double plane, double diffuse_level)
{
    if (!(scene->cos_incidence > 0) || !(scene->cos_zenith > 0))
        return plane;
    double from_diffuse = diffuse_level * (sky_view(scene) + ground_part(scene));
    double per_beam = scene->cos_incidence + ground_part(scene) * scene->cos_zenith;
    double beam_normal = fmax(plane - from_diffuse, 0) / per_beam;
    return diffuse_of_beam(scene, plane, beam_normal);
}

double diffuse_beam_of_pair(const struct diffuse_scene *scene, double global_level,
                            double diffuse_level)
{
    if (!(scene->cos_zenith > HORIZON_COS_ZENITH))
        return 0;
    return (global_level - diffuse_level) / scene->cos_zenith;
}

double diffuse_erbs(double clearness)
{
    double k = clearness;
    if (k <= 0.22)
        return 1 - 0.09 * k;
    if (k > 0.80)
        return 0.165;
    return 0.9511 + k * (-0.1604 + k * (4.388 + k * (-16.638 + k * 12.336)));
}

/* Sunshine in the plane at a clearness, and the diffuse in it. */
static double in_plane(const struct diffuse_scene *scene, double above_air, double clearness,
                       double *diffuse)
{
    double global = clearness * above_air * scene->cos_zenith;
    double level = global * diffuse_erbs(clearness);
    double beam = (global - level) / scene->cos_zenith;
    *diffuse = level * sky_view(scene) + global * ground_part(scene);
    return beam * fmax(scene->cos_incidence, 0) + *diffuse;
}

double diffuse_estimate(const struct diffuse_scene *scene, double plane, double above_air,
                        double *u)
{
    *u = U_CLOUDY;
    if (!(scene->cos_zenith > LOWEST_COS_ZENITH) || !(plane > 0))
        return NAN;
    double low = 0, high = CLEARNESS_MOST, diffuse = 0, total = 0;
    for (int i = 0; i < HALVINGS; i++) {
        double middle = 0.5 * (low + high);
        total = in_plane(scene, above_air, middle, &diffuse);
        if (total < plane)
            low = middle;
        else
            high = middle;
    }
    double share = total > 0 ? fmin(diffuse / total, 1) : 1;
    if (share < CLEAR_SHARE)
        *u = U_CLEAR;
    return share;
}

double diffuse_above_air(double distance_au)
{
    return SUN_W_M2 / (distance_au * distance_au);
}
