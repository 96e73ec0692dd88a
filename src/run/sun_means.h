/* The sun over every point: what place, time and mount make of the means.
 */
#ifndef RUN_SUN_MEANS_H
#define RUN_SUN_MEANS_H

#include "run/setup.h"
#include "point/means_list.h"
#include "sky/slip.h"
#include "window/angles.h"
#include "window/clear_days.h"
#include "window/finder.h"

/* What the description knows of place and mount. */
void setup_angles(const struct test_setup *setup, struct angles *angles);

/* Whether angles of this test come from the sun's place, and not from a column, a typed figure or
 * a lamp. */
bool setup_angles_from_sun(const struct test_setup *setup);

/* Whether the sunshine can say anything of the clock: a plane that stands still, as stated. */
bool setup_clock_can_be_asked(const struct test_setup *setup);

/* What the clear days say of the clock, and by which slips of [site] they would fit. */
struct sun_clock {
    struct clock_answer answer;
    struct slip slips[SLIPS];
    size_t n_slips;
    bool level_too;  /* it fits, and would as well with a sensor that lies level */
    bool either_way; /* it fits, and would as well with the collector turned round */
};

/* Asks it. A day that follows no clear sky on the stated plane, but would under a slip, makes the
 * verdict CLOCK_ELSEWHERE. */
void sun_clock(const struct test_setup *setup, const struct clear_days *days,
               struct sun_clock *clock);

/* Counts points by hand that do not fit the place: bright ones with the sun down, behind the
 * collector, or too low for them; diffuse above the whole. */
void sun_doubt_points(struct angles *angles, const struct means_list *list);

/* Fills the sun of every point, its angle where none was measured and the point has times, and its
 * diffuse share: measured where there is a diffuse, otherwise estimated where the plane is known
 * (sky/diffuse.h).
 * In:      diffuse_read   an instrument has the diffuse in the plane; otherwise windows' was formed
 *          finder   NULL for points by hand; limits on an estimated share become "not verified" */
void sun_means(struct angles *angles, struct means_list *list, bool diffuse_read,
               struct finder *finder);

#endif
