/* Slip: by which usual slip of place and plane sunshine that fits neither would fit.
 *
 * The clear days are laid over the sky (sky/clock.h) as if the figures had been written the other
 * way: an azimuth counted from south, a sign of the latitude or the longitude left out, both
 * changed, a tilt that was a slope in percent or counted from upright. A slip is named only where
 * the sunshine then keeps the sun's time, as the clock stands. To be asked only of sunshine that
 * fits what is stated nowhere: the shape of a day hardly shows the tilt, and many would fit as
 * well.
 */
#ifndef SKY_SLIP_H
#define SKY_SLIP_H

#include "sky/clock.h"

#include <stddef.h>

enum slip_kind {
    SLIP_FROM_SOUTH,      /* azimuth counted from south: 180 degrees more */
    SLIP_FROM_SOUTH_EAST, /* the same, but to the east: 180 degrees less it */
    SLIP_HEMISPHERE,      /* the latitude's sign */
    SLIP_OTHER_SIDE,      /* the latitude's sign, and the azimuth from the other pole */
    SLIP_WEST,            /* the longitude's sign */
    SLIP_SWAPPED,         /* latitude and longitude changed */
    SLIP_PERCENT,         /* the tilt is a slope in percent */
    SLIP_UPRIGHT,         /* the tilt counts from upright */
    SLIPS
};

struct slip {
    enum slip_kind kind;
    struct clock_question would; /* as it would fit */
    double misfit;
};

/* In:      days  n of them, as in clock_ask
 * Out:     found those that would fit, the best first
 * Returns: how many */
size_t slips_find(const struct clock_question *question, const struct clock_day *days, size_t n,
                  struct slip found[SLIPS]);

#endif
