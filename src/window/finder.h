/* Finder: readings -> steady-state windows and refused stretches, in one pass and constant memory.
 *
 * A window is exactly L long (rounded up to whole slots). Each watched channel's slot means stay
 * within the permitted deviation of the window's own mean, the means lie inside their limits, and
 * the outlet does not drift. A conditioning stretch P lies directly before it, in which irradiance,
 * ambient, inlet and flow stay within the same deviations of the window's mean: a window that opens
 * just after a cloud would find the collector still warming up. A broken slot or a gap starts P
 * again; so does time that the description excludes. The earliest start that passes wins; the
 * search resumes at the window's end. Conditioning may overlap the window before.
 *
 * Source: docs/methods.md; ISO 9806:2017 for the idea of conditioning and measurement period
 * (memory).
 */
#ifndef WINDOW_FINDER_H
#define WINDOW_FINDER_H

#include "base/faults.h"
#include "base/zone.h"
#include "domain/means.h"
#include "ingest/block.h"
#include "window/days.h"
#include "window/refusals.h"
#include "window/rules.h"
#include "window/sliding.h"
#include "window/slots.h"
#include "window/verdict.h"
#include "window/window_noise.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* With fewer slots in a window nobody sees whether it was steady. */
enum { FINDER_FEW_SLOTS = 3 };

/* Time in which no window may lie. */
struct finder_excluded {
    int64_t start_us;
    int64_t end_us;
    uint64_t readings; /* rows in the slots that it touches; after the last block */
};

struct finder {
    struct rules rules;
    const struct zone *zone;
    struct finder_excluded *excluded; /* in the order given */
    size_t n_excluded;

    struct means *means;           /* of the windows, in time order */
    struct verdicts *verdict; /* of each window */
    size_t n_windows;
    size_t capacity;
    struct refusals refusals;
    struct days days;
    struct channel_noise noise[CH_COUNT]; /* after the last block */

    struct slots slots; /* its counts are for reading: slots broken, by what, segments */
    struct sliding sliding;
    struct candidate candidate; /* the newest */
    bool sliding_ready;
    double window_s; /* shortest of all that slots were laid for */
    double conditioning_s;
    struct window_noise readings;
    double step[COUNTED]; /* m3, J; 0: not counted */
    double span_s;        /* of the flow: least time that the rows of a window's slot span */
    size_t few[COUNTED];  /* windows in which it made fewer than two */
    bool weigh_incidence; /* set it after init where the angle comes from the sun's place */
    int64_t free_from_us; /* the next window may not start before */
    int64_t last_end_us;  /* end of the newest slot */
};

/* The struct must not be moved afterwards.
 * In:      rules          copied
 *          zone           of the clock, for the session (local day) of a window; borrowed */
bool finder_init(struct finder *finder, const struct rules *rules, const struct zone *zone,
                 struct faults *faults);
void finder_free(struct finder *finder);

/* The flow comes from pulses, or from a total that moves by such steps: a window's mean flow is
 * then taken from its first to its last edge, its heat in proportion, its error from where the two
 * edges may have been, and no deviation is judged finer than one pulse in the time that a slot's rows span, and one in
 * the window (of a counter that
 * stands still in a quarter of the rows or more: than the largest rise of a row). The same of a
 * heat meter's total, which is no window's heat where it makes fewer than two steps or has a row
 * without a number.
 * In: step   m3 or J */
void finder_count(struct finder *finder, enum counted_kind counted, double step);

/* Before the first block: a row in which this channel is not good does not count. Without asking:
 * what every reduction needs, and the channels of limits that are on. */
void finder_need(struct finder *finder, enum channel channel);

/* Excludes a stretch of time, before the first block: a slot that it touches is broken, and the
 * refusals count it as excluded, not as missing readings. Stretches may overlap.
 * Returns: false with a machine fault */
bool finder_exclude(struct finder *finder, int64_t start_us, int64_t end_us,
                    struct faults *faults);

/* The sink to hand to the reader; windows, refusals and noise are complete after its finish. Means
 * have has[] where every slot of the window had a good reading on average, u[] from the pooled
 * noise. Warns (in the faults) when a window holds fewer than 3 slots. */
struct sink finder_sink(struct finder *finder);

/* Of a window the angle of incidence is that of its mean beam: each slot's angle counts with its
 * sunshine less its diffuse, where weigh_incidence says so; the limit is judged on the plain
 * mean, which differs by hundredths of a degree in a steady window. */

/* Length of window and conditioning as used, after rounding up to whole slots, s; 0 before the
 * sampling step is known. Where slots were laid anew: the shortest. */
double finder_window_s(const struct finder *finder);
double finder_conditioning_s(const struct finder *finder);

#endif
