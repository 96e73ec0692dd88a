/* Collectors: the four invented constructions of the demo.
 *
 * Two plates of one workshop course, equal but for the absorber's coating, and two homemade ones.
 * Figures are ours, chosen to be lifelike; no product is behind them.
 */
#ifndef DEMO_COLLECTORS_H
#define DEMO_COLLECTORS_H

#include "demo/plant.h"

enum demo_collector { DEMO_PLATE_A, DEMO_PLATE_B, DEMO_RIG, DEMO_BUCKET, DEMO_COLLECTORS };

struct demo_collector_row {
    enum demo_collector id;
    const char *name;
    double gross_m2;
    struct plant plant; /* its aperture_m2 is the true aperture */
};

const struct demo_collector_row *demo_collector_row(enum demo_collector id);

#endif
