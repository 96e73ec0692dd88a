/* Two collectors on one rack, invented apart from the program's demo: one sun sensor and one
 * thermometer of the air for both, in one column of one log each; a flow meter and a pair of
 * thermometers of each one's own. Every error is drawn, shared ones once, and the windows go
 * through point_make and efficiency_fit as those of a log do. */
#ifndef AID_BESIDE_H
#define AID_BESIDE_H

#include "base/randoms.h"
#include "study/difference.h"

#include <stdbool.h>
#include <stdint.h>

enum { BESIDE_POINTS = 16, BESIDE_DAYS = 2 };

struct beside_case {
    double eta0[2], a1[2];  /* a2 is 0.01 W/(m2 K2) for both */
    double u_sun, u_flow;   /* relative: of the sun sensor, of each meter */
    double noise_sun_W_m2;  /* of a window's mean, the same readings in both */
    double noise_air_K;
    double hour; /* standard deviation by which both efficiencies move together from window
                    to window, which nobody states: haze, spectrum, angle */
    int64_t late_us;        /* by which the other's windows begin later; a window is 10 min */
    int swap_at;            /* the meters change places before this point; 0: they stay */
    bool other_log;         /* the same sensors in another log: one id, other readings */
};

struct beside {
    struct faults faults;
    struct fluid water;
    struct randoms randoms;
    struct run_section run;
    struct tested tests[2];
    struct difference difference;
    double flow[2]; /* relative errors of the two meters as drawn */
};

bool beside_init(struct beside *beside);
void beside_free(struct beside *beside);

/* Draws both tests, fits them and takes their difference; beside_forget before the next. */
void beside_draw(struct beside *beside, const struct beside_case *how, uint64_t seed);
void beside_forget(struct beside *beside);

/* a - b in truth. */
double beside_truth(const struct beside_case *how, double x);

#endif
