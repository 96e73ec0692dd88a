/* Sliding stretch: conditioning and window as they move along the slots, with all that the limits
 * ask about them, at constant cost a slot.
 *
 * Sums are brought up to date slot by slot and formed afresh once a window length, so that rounding
 * does not build up over a long log.
 */
#ifndef WINDOW_SLIDING_H
#define WINDOW_SLIDING_H

#include "base/faults.h"
#include "domain/channel.h"
#include "window/extremes.h"
#include "window/slots.h"
#include "window/verdict.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct sliding {
    size_t n_window; /* slots */
    size_t n_total;  /* with the conditioning stretch */
    double slot_s;
    struct slot *ring;
    size_t next;     /* where the coming slot goes */
    uint64_t length; /* unbroken slots up to now */
    size_t fresh;    /* slots since the sums were last formed afresh */
    bool present[CH_COUNT];
    enum channel list[CH_COUNT]; /* the present ones */
    size_t n_list;
    double sum[CH_COUNT]; /* over the window */
    uint32_t count[CH_COUNT];
    double level_sum;   /* sum of the outlet's slot means over the window */
    double level_trend; /* sum of i * slot mean, i = 0 at the window's first slot */
    enum channel watched[EXTREMES_LANES]; /* by lane */
    size_t n_watched;
    struct extremes window;
    struct extremes total; /* of window and conditioning together */
};

/* In:      n_window, n_conditioning   slots; >= 1, >= 0
 *          slot_s    length of a slot, > 0
 *          present   channels of the log
 *          watched   channels whose deviations are kept; of those present EXTREMES_LANES at most
 */
bool sliding_init(struct sliding *sliding, size_t n_window, size_t n_conditioning, double slot_s,
                  const bool *present, const bool *watched, struct faults *faults);
void sliding_free(struct sliding *sliding);

/* Forgets everything: the conditioning starts again. */
void sliding_restart(struct sliding *sliding);

/* The next unbroken slot. */
void sliding_push(struct sliding *sliding, const struct slot *slot);

/* Whether conditioning and window are full. */
bool sliding_full(const struct sliding *sliding);

/* Start of the window that would end with the newest slot; needs n_window slots. */
int64_t sliding_start_us(const struct sliding *sliding);

/* Number of the first reading of that window. */
uint64_t sliding_first_row(const struct sliding *sliding);

/* Fills in what changes from slot to slot: the channels of the log, of a candidate that was cleared
 * once; only when sliding_full. */
void sliding_candidate(const struct sliding *sliding, struct candidate *candidate);

/* Rows of the window that count, and those that were lost. */
void sliding_readings(const struct sliding *sliding, size_t *readings, size_t *lost);

/* What came through between the window's first and last edges, m3 or J; a pass over the window.
 * Returns: false if there are fewer than two */
struct sliding_edges {
    double came;
    double time_s;
    double most; /* largest of one row */
    bool holed;  /* what came is not known: a row has no number */
    bool held;      /* a quarter of the rows or more have none: between edges the counter stood */
};
bool sliding_edges(const struct sliding *sliding, enum counted_kind counted,
                   struct sliding_edges *edges);

/* The shortest time that the rows of a slot of window or conditioning span, s: a slot that rows do
 * not fill evenly holds fewer in places. A pass over both. */
double sliding_least_span_s(const struct sliding *sliding, enum counted_kind counted);

/* Mean of a channel over the window's slots, each weighed by its beam: irradiance less diffuse,
 * or the irradiance where there is no diffuse; the plain mean where no slot has any. A pass over
 * the window. */
double sliding_beam_mean(const struct sliding *sliding, enum channel channel);

/* Slope of the mean fluid temperature (inlet and outlet averaged) through the window's slots, K/s;
 * NaN if either is absent or there are fewer than 2 slots. Costs a pass over the window. */
double sliding_fluid_drift_K_s(const struct sliding *sliding);

#endif
