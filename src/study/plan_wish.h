/* The answer for which a test is planned, as a user asks for it. */
#ifndef STUDY_PLAN_WISH_H
#define STUDY_PLAN_WISH_H

#include "base/faults.h"

#include <stdbool.h>

/* The answer that is asked for. */
enum plan_about {
    PLAN_CURVE, /* efficiency at one temperature above the air */
    PLAN_ETA0,
    PLAN_A1,
    PLAN_K /* modifier of the beam 50 degrees off the normal */
};
#define PLAN_K_RAD (50 * 0.017453292519943295)

struct plan_wish {
    enum plan_about about;
    double rise_K; /* of PLAN_CURVE: fluid (on the run's basis) above the air */
    double g_W_m2; /* sunshine at which the curve is read */
};

/* Reads "eta0", "a1", "K50", "30 K" (above the air, 0 to 150) or "0.03" (T*, 0 to 0.2 m2 K/W).
 * In:      text    NULL: 30 K above the air
 *          g_W_m2  sunshine of the run's curve, > 0
 * Returns: false with a usage fault */
bool plan_wish_read(struct plan_wish *wish, const char *text, double g_W_m2, struct faults *faults);

#endif
