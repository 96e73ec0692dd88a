/* What to do about a result that does not fit: said to who reads a log, and to who typed a table.
 */
#ifndef RUN_ADVICE_H
#define RUN_ADVICE_H

#include <stdbool.h>

enum advice {
    ADVICE_UNFORMED,   /* no point can be formed: no sun, no flow, beyond the fluid's table */
    ADVICE_BEYOND_SUN, /* more heat than there was sunshine */
    ADVICE_LOSS,       /* the warmer the water, the more heat */
    ADVICE_POOR,       /* hardly any heat, or more than a collector can */
    ADVICE_BENT,       /* a curve that no collector has */
    ADVICE_POINT,      /* one point lies off the others */
    ADVICE_POINTS_FIRST, /* no curve, and the points themselves cannot be */
    ADVICE_COUNT
};

/* Without a capital and without a full stop. In: from_log   the points are windows of a log */
const char *advice_words(enum advice advice, bool from_log);

#endif
