/* How well points tell the heat loss from the angle, and what would tell more. */
#include "run/joint_job.h"

#include "run/words.h"

#include <math.h>
#include <stdio.h>

#define DEG (180 / M_PI)

static double beyond(const struct point *point)
{
    return 1 / cos(fabs(point->value.incidence_rad)) - 1;
}

/* Ranges and the correlation of both. */
static void set_ranges(const struct point *points, size_t n, struct joint_spread *s)
{
    double x = 0, b = 0, xx = 0, bb = 0, xb = 0;
    s->least_rad = s->least_x = INFINITY;
    s->most_x = -INFINITY;
    for (size_t i = 0; i < n; i++) {
        if (points[i].left_out)
            continue;
        const struct point_value *v = &points[i].value;
        s->least_rad = fmin(s->least_rad, fabs(v->incidence_rad));
        s->most_rad = fmax(s->most_rad, fabs(v->incidence_rad));
        s->least_x = fmin(s->least_x, v->x);
        s->most_x = fmax(s->most_x, v->x);
        x += v->x;
        b += beyond(&points[i]);
        s->n++;
    }
    for (size_t i = 0; i < n; i++) {
        if (points[i].left_out)
            continue;
        double dx = points[i].value.x - x / (double)s->n,
               db = beyond(&points[i]) - b / (double)s->n;
        xx += dx * dx;
        bb += db * db;
        xb += dx * db;
    }
    s->together = xb / sqrt(xx * bb);
}

void joint_spread_of(const struct point *points, size_t n, struct joint_spread *s)
{
    *s = (struct joint_spread){0};
    set_ranges(points, n, s);
    s->mid_x = 0.5 * (s->least_x + s->most_x);
    s->mid_rad = acos(2 / (1 / cos(s->least_rad) + 1 / cos(s->most_rad)));
    for (size_t i = 0; i < n; i++) {
        if (points[i].left_out)
            continue;
        const struct point_value *v = &points[i].value;
        s->corner[v->x > s->mid_x][fabs(v->incidence_rad) > s->mid_rad]++;
    }
}

double joint_widest(const struct fit_joint *fit, size_t *coef)
{
    double widest = NAN;
    *coef = 0;
    for (size_t j = 0; j < fit->n_coef; j++)
        if (!(fit->widened[j] <= widest)) {
            widest = fit->widened[j];
            *coef = j;
        }
    return widest;
}

const char *joint_wanted(const struct joint_spread *s, char *out, size_t size)
{
    static const char *const water[2] = {"cool", "hot"}, *const sun[2] = {"near", "far off"};
    size_t fewest = s->n, used = 0;
    for (int hot = 0; hot < 2; hot++)
        for (int off = 0; off < 2; off++)
            fewest = s->corner[hot][off] < fewest ? s->corner[hot][off] : fewest;
    if (s->most_rad - s->least_rad < JOINT_ONE_ANGLE_RAD) {
        snprintf(out, size,
                 "angles that span 30 deg or more, the nearest within 25 deg of the "
                 "normal");
        return out;
    }
    snprintf(out, size, "points with");
    for (int hot = 0; hot < 2; hot++)
        for (int off = 0; off < 2; off++) {
            if (s->corner[hot][off] > fewest)
                continue;
            size_t length = 0;
            while (out[length] != '\0')
                length++;
            snprintf(out + length, size - length, "%s %s water and the sun %s the normal",
                     used++ > 0 ? ", and with" : "", water[hot], sun[off]);
        }
    size_t length = 0;
    while (out[length] != '\0')
        length++;
    snprintf(out + length, size - length, " (parted at T* %.3f and %.0f deg): there %s", s->mid_x,
             s->mid_rad * DEG, fewest == 0 ? "is none" : "are the fewest");
    return out;
}
