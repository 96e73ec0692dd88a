/* Refusals: why the time between windows holds no window, and what would have admitted one.
 *
 * A stretch runs from the end of a window (or the start of a gap-free segment) to the start of the
 * next window (or the end of the segment). Candidates in it are all stretches of a window's length
 * that had their conditioning; each is judged against every limit.
 *
 * Changes are only proposed for candidates that overlap no window found. Then they do add a window:
 * the windows found and the candidate would all pass and are disjoint, and taking the earliest
 * start again and again yields as many disjoint stretches of one length as there can be.
 */
#ifndef WINDOW_REFUSALS_H
#define WINDOW_REFUSALS_H

#include "base/faults.h"
#include "ingest/block.h"
#include "window/rules.h"
#include "window/rules_text.h"
#include "window/verdict.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { REFUSALS_KEPT = 1000 };

enum refusal_reason {
    REFUSAL_LIMIT,        /* a limit was not met */
    REFUSAL_BROKEN,       /* readings were missing or bad */
    REFUSAL_CONDITIONING, /* no more than the conditioning of the window that follows */
    REFUSAL_EXCLUDED,     /* by the description; the whole stretch is */
    REFUSAL_SHORT         /* too short for conditioning and a window */
};

/* The candidate that comes closest to passing one limit while it meets all others and overlaps no
 * window found. */
struct near_miss {
    bool found;
    double ratio;
    double statistic; /* SI */
    int64_t start_us;
    int64_t end_us;
    bool in_conditioning;
};

struct refusal {
    int64_t start_us;
    int64_t end_us;
    bool excluded;
    enum refusal_reason reason;
    enum rule_id limit; /* failed by most candidates, the first of the table among equals;
                           RULE_COUNT if no candidate was judged */
    size_t judged;      /* candidates */
    size_t failed[RULE_LIMITS];
    bool closest_found; /* of these the candidate whose largest ratio is smallest, whatever it fails
                         */
    int64_t closest_start_us;
    int64_t closest_end_us;
    double closest_ratio;
    struct verdicts closest;
    size_t slots;                /* all slots of the stretch */
    size_t broken;               /* of them broken */
    enum channel broken_channel; /* of the first broken slot; CH_COUNT: no reading at all */
    enum reading_flag broken_flag;
};

/* A refused candidate of which it is not yet known whether a window will overlap it. */
struct refusal_pending {
    int64_t start_us;
    int64_t end_us;
    struct verdicts verdicts;
};

/* Asking whether a limit can be loosened that far costs a printing and a reading. What can be done
 * for a ratio can be done for a smaller one, and what cannot, cannot for a larger one. */
struct refusal_reach {
    double possible;   /* largest ratio so far for which it can */
    double impossible; /* smallest ratio so far for which it cannot */
};

struct refusals {
    const struct rules *rules;       /* borrowed */
    struct refusal_reach reach[RULE_LIMITS];
    struct refusal_pending *pending; /* ring: at most as many as a window has slots */
    size_t pending_capacity;
    size_t pending_first;
    size_t n_pending;

    struct refusal *kept; /* the longest REFUSALS_KEPT; in time order after refusals_finish */
    size_t n_kept;
    size_t capacity;
    size_t shortest; /* index, once all places are taken */
    struct refusal open;
    bool is_open;

    size_t stretches; /* all of them */
    size_t stretches_short;
    size_t stretches_conditioning;
    size_t stretches_broken;
    size_t stretches_excluded;
    size_t stretches_limit[RULE_LIMITS]; /* by their dominant limit */
    double seconds;
    double seconds_short;
    double seconds_conditioning;
    double seconds_broken;
    double seconds_excluded;
    double seconds_limit[RULE_LIMITS];
    size_t judged;
    size_t failed[RULE_LIMITS];          /* candidates that failed it */
    struct near_miss alone[RULE_LIMITS]; /* of the whole log */
};

/* rules must outlive this. */
void refusals_init(struct refusals *refusals, const struct rules *rules);
void refusals_free(struct refusals *refusals);

/* A stretch begins; an open one must have been closed. */
void refusals_open(struct refusals *refusals, int64_t start_us);

/* The border of time that the description excludes: what is open ends here and a stretch of the
 * other sort begins.
 * Returns: false with a machine fault */
bool refusals_border(struct refusals *refusals, int64_t time_us, bool excluded,
                     struct faults *faults);

/* A slot of the stretch; `broken` says whether it was, `channel` and `flag` by what. */
void refusals_slot(struct refusals *refusals, bool broken, enum channel channel,
                   enum reading_flag flag);

/* A candidate that was refused; starts come in rising order.
 * Returns: false with a machine fault */
bool refusals_candidate(struct refusals *refusals, const struct candidate *candidate,
                        const struct verdicts *verdicts, struct faults *faults);

/* The open stretch ends; one without length is forgotten.
 * In:      slots_after   newest slots that belong to the window that ends the stretch
 * Returns: false with a machine fault */
bool refusals_close(struct refusals *refusals, int64_t end_us, size_t slots_after,
                    struct faults *faults);

/* Sorts what was kept by time. */
void refusals_finish(struct refusals *refusals);

/* The line that would admit a near miss, "flow deviation = 2.3 %", into out (RULE_TEXT_SIZE).
 * Returns: false if there is none (not found, or no accepted figure admits it) */
bool near_miss_line(const struct near_miss *miss, const struct rules *rules, enum rule_id id,
                    char *out, size_t size);

/* All changes that the closest candidate of a stretch needs, one line each.
 * Returns: how many lines were added; 0 if no accepted figures admit it */
size_t refusal_lines(const struct refusal *refusal, const struct rules *rules, struct text *out);

#endif
