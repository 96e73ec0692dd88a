/* Slots: means over short, equal pieces of time, on which steadiness is judged.
 *
 * Slots are counted from the first reading of each gap-free segment. A slot lasts as long as the
 * rules say. Where readings come about as slowly as that (a step of 0.9 slots or more), every
 * reading is a slot of its own, so that a logger whose stamps jitter leaves no slot empty and none
 * double. The sampling step is the median of the first 1000; those rows are held back until it is
 * known, so that the result does not depend on how the log was cut into blocks.
 *
 * A logger whose step is changed during the test: where rows settle (window/pace.h) at a step that
 * is longer than the slots, by SLOTS_OTHER_STEP or more where these are readings, slots are laid
 * anew as if the log began there, and whoever wants them is told. Where rows come faster than slots
 * that are readings, several share one, of the same length: laying them anew would cost the
 * conditioning once more. Behind a gap it costs none, so the first step that settles there lays
 * shorter slots, too. (15 % is our own figure: the mean of ten steps does not jitter so far.)
 *
 * A row with a reading of a watched channel that is not good is lost: none of its readings counts,
 * so that all means of a slot are over the same rows. A slot stands up to one lost row in
 * SLOTS_ROWS_A_LOST (our figure); more of them break it, as does holding no reading. Where a needed
 * channel is counted one lost row breaks it: what came cannot be had from the rows beside it. The
 * last slot of a segment is dropped if it is not full.
 */
#ifndef WINDOW_SLOTS_H
#define WINDOW_SLOTS_H

#include "base/faults.h"
#include "domain/channel.h"
#include "ingest/block.h"
#include "ingest/span.h"
#include "window/pace.h"
#include "window/pulses.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { SLOTS_STEP_ROWS = 1000, SLOTS_ROWS_A_LOST = 4 };
#define SLOTS_OTHER_STEP 1.15

/* Of a slot, or of several: rows in which something came through, the edges of what is counted. */
struct slot_edges {
    double sum;   /* of all of them, each over the time since the row before: m3, J */
    double first; /* of the first one */
    double most;  /* of the largest */
    int64_t span_us; /* all rows of the slot, each from the row before */
    int64_t first_us;
    int64_t last_us;
    size_t n;
    bool holed; /* a row that has one before it has no number: what came is not known */
};

struct slot {
    int64_t start_us;
    int64_t end_us;
    uint64_t first_row; /* number of its first reading, counted over all rows from 0 */
    size_t readings; /* rows that count */
    size_t lost;     /* rows that do not */
    double sum[CH_COUNT]; /* of good readings, SI */
    uint32_t count[CH_COUNT];
    struct slot_edges edges[COUNTED]; /* where asked for */
    bool opens_segment;
    bool broken;                   /* as it is handed on */
    enum channel broken_channel;   /* of the first row that was lost; CH_COUNT: none was */
    enum reading_flag broken_flag; /* of its first reading that is not good */
};

/* How often slots were laid anew because rows came more slowly, and when first. */
struct slots_laid {
    size_t n;
    int64_t first_us;
    int64_t from_us; /* step before, and from then on */
    int64_t to_us;
};

/* Whoever wants the slots. `ready` is called before the first slot, with the length that slots
 * really have, and again where they are laid anew, before a slot that opens a segment; `reading` for a row (CH_COUNT values, NaN where not good) before the slot
 * that holds it, or `span` for n rows of a block, row `first` and those behind it, all good in the
 * channels that have values. */
struct slots_user {
    void *state;
    bool (*ready)(void *state, int64_t slot_us, struct faults *faults);
    bool (*reading)(void *state, const double *value, struct faults *faults);
    bool (*span)(void *state, const double *const value[CH_COUNT], size_t first, size_t n,
                 struct faults *faults);
    bool (*slot)(void *state, const struct slot *slot, struct faults *faults);
};

struct slots_row {
    int64_t time_us;
    bool gap_before;
    uint8_t flag[CH_COUNT];
    double value[CH_COUNT];
};

struct slots {
    struct slots_user user;
    int64_t wanted_us;    /* length that the rules ask for */
    bool needs[CH_COUNT]; /* channels that a rule or the reduction needs */

    bool started; /* the first block was seen: present[] and watched[] hold */
    bool present[CH_COUNT];
    bool watched[CH_COUNT];      /* needed and present */
    enum channel list[CH_COUNT]; /* the present ones */
    size_t n_list;

    struct slots_row *held; /* the first rows, until the step is known */
    size_t n_held;
    bool ready;
    int64_t step_us; /* 0: fewer than two rows */
    int64_t slot_us;
    bool of_log;       /* the slot's length is the step of the log's rows */
    bool each_reading; /* every reading is a slot; else slots are a grid */
    struct pace pace;
    bool settled; /* the step of this segment's rows */
    struct slots_laid laid;
    int64_t longest_us; /* slot of all that were laid */
    bool counts[COUNTED]; /* set by the user: the edges of this are kept */

    struct slots_block {
        bool easy;                     /* rows may be taken many at a time */
        bool good;                     /* all of them are */
        const double *value[CH_COUNT]; /* NULL: not present */
        struct span_columns columns;   /* in the order of the list */
    } block; /* the one that is taken */

    uint64_t rows;
    int64_t last_us; /* stamp of the last row */
    bool open;
    struct slot slot; /* the open one */

    size_t n_slots; /* handed on */
    size_t n_broken;
    size_t n_standing; /* not broken though a row was lost */
    size_t n_empty;   /* broken by holding no reading */
    size_t n_dropped; /* not full at the end of a segment */
    size_t n_segments;
    size_t broken_by[CH_COUNT][FLAG_COUNT]; /* broken slots, by their first bad reading */
};

/* In:      slot_us   > 0
 *          needs     CH_COUNT of them */
bool slots_init(struct slots *slots, int64_t slot_us, const bool *needs, struct slots_user user,
                struct faults *faults);
void slots_free(struct slots *slots);

/* Returns: false if the user said so, or with a machine fault */
bool slots_take(struct slots *slots, const struct block *block, struct faults *faults);
bool slots_finish(struct slots *slots, struct faults *faults);

/* Whether a needed channel is counted, so that one lost row breaks its slot. */
bool slots_need_count(const struct slots *slots);

#endif
