/* Verdicts: what a window, or a stretch that could have been one, says to each limit.
 */
#ifndef WINDOW_VERDICT_H
#define WINDOW_VERDICT_H

#include "domain/channel.h"
#include "window/rules.h"

#include <stdbool.h>
#include <stdint.h>

enum verdict_state {
    VERDICT_MET,
    VERDICT_NOT_MET,
    VERDICT_NOT_MEASURED, /* the limit is on, but the log has no channel for it */
    VERDICT_OFF,
    VERDICT_NOT_VERIFIED, /* the figure is an estimate, which meets no limit; refuses nothing */
    VERDICT_TOO_COARSE /* a meter's pulses are too few in a slot to tell; refuses nothing */
};
const char *verdict_word(enum verdict_state state); /* "not measured" */

/* By limit. A long log has thousands of them. */
struct verdicts {
    double statistic[RULE_LIMITS]; /* SI; NaN if not measured. Given for limits that are off, too */
    uint8_t state[RULE_LIMITS];    /* enum verdict_state */
    bool in_conditioning[RULE_LIMITS]; /* the largest deviation lies in the conditioning stretch */
    uint32_t not_met;                  /* a bit each */
};

/* What the sliding stretch holds at one moment. Means are means of readings. */
struct candidate {
    int64_t start_us; /* of the window; the conditioning stretch lies before */
    int64_t end_us;
    bool has[CH_COUNT];
    double mean[CH_COUNT];      /* SI; NaN where has[] is false */
    double deviation[CH_COUNT]; /* largest |slot mean - mean| in the window; NaN if not kept */
    double deviation_before[CH_COUNT]; /* the same in window and conditioning together */
    double drift_K_s;                  /* of the outlet, signed; NaN with fewer than 2 slots */
    double flow_step_m3_s; /* one pulse in a slot, and one in the window; 0: the flow is not counted */
};

/* Nothing is known of any channel. */
void candidate_clear(struct candidate *candidate);

/* Judges every limit. Returns: true if no limit is not met: the candidate is a window */
bool verdict_judge(const struct rules *rules, const struct candidate *candidate,
                   struct verdicts *verdicts);

#endif
