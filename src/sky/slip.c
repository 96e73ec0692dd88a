#include "sky/slip.h"

#include <math.h>

#define DEG (180.0 / M_PI)
/* Nearer than this it is what was stated. */
#define SAME_RAD (0.5 / DEG)

/* The question under a slip. Returns: whether there is such a place and plane. */
static bool ask_under(enum slip_kind kind, const struct clock_question *q,
                      struct clock_question *would)
{
    *would = *q;
    switch (kind) {
    case SLIP_FROM_SOUTH:
        would->azimuth_rad = q->azimuth_rad + M_PI;
        break;
    case SLIP_FROM_SOUTH_EAST:
        would->azimuth_rad = M_PI - q->azimuth_rad;
        break;
    case SLIP_HEMISPHERE:
        would->latitude_rad = -q->latitude_rad;
        break;
    case SLIP_OTHER_SIDE:
        would->latitude_rad = -q->latitude_rad;
        would->azimuth_rad = M_PI - q->azimuth_rad;
        break;
    case SLIP_WEST:
        would->longitude_rad = -q->longitude_rad;
        break;
    case SLIP_SWAPPED:
        would->latitude_rad = q->longitude_rad;
        would->longitude_rad = q->latitude_rad;
        break;
    case SLIP_PERCENT:
        would->tilt_rad = atan(q->tilt_rad * DEG / 100);
        break;
    case SLIP_UPRIGHT:
        would->tilt_rad = M_PI / 2 - q->tilt_rad;
        break;
    case SLIPS:
        return false;
    }
    would->azimuth_rad -= 2 * M_PI * floor(would->azimuth_rad / (2 * M_PI));
    return fabs(would->latitude_rad) <= M_PI / 2 && would->tilt_rad > 0;
}

static bool same(const struct clock_question *a, const struct clock_question *b)
{
    return fabs(a->latitude_rad - b->latitude_rad) < SAME_RAD &&
           fabs(a->longitude_rad - b->longitude_rad) < SAME_RAD &&
           fabs(a->tilt_rad - b->tilt_rad) < SAME_RAD &&
           fabs(remainder(a->azimuth_rad - b->azimuth_rad, 2 * M_PI)) < SAME_RAD;
}

/* Two slips can be one: 0 degrees counted from south is 180 either way round. */
static bool known(const struct clock_question *would, const struct clock_question *question,
                  const struct slip *found, size_t n)
{
    bool known = same(would, question);
    for (size_t i = 0; i < n; i++)
        known = known || same(would, &found[i].would);
    return known;
}

size_t slips_find(const struct clock_question *question, const struct clock_day *days, size_t n,
                  struct slip found[SLIPS])
{
    size_t count = 0;
    for (int kind = 0; kind < SLIPS; kind++) {
        struct slip slip = {.kind = (enum slip_kind)kind};
        if (!ask_under(slip.kind, question, &slip.would) ||
            known(&slip.would, question, found, count))
            continue;
        struct clock_answer answer = clock_ask(&slip.would, days, n);
        slip.misfit = answer.misfit;
        if (answer.verdict != CLOCK_FITS)
            continue;
        size_t at = count++;
        for (; at > 0 && found[at - 1].misfit > slip.misfit; at--)
            found[at] = found[at - 1];
        found[at] = slip;
    }
    return count;
}
