#include "window/slots.h"

#include "ingest/span.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

bool slots_init(struct slots *slots, int64_t slot_us, const bool *needs, struct slots_user user,
                struct faults *faults)
{
    memset(slots, 0, sizeof *slots);
    slots->user = user;
    slots->wanted_us = slot_us;
    memcpy(slots->needs, needs, sizeof slots->needs);
    slots->held = malloc(SLOTS_STEP_ROWS * sizeof *slots->held);
    return slots->held != NULL || fault_memory(faults);
}

void slots_free(struct slots *slots)
{
    free(slots->held);
    slots->held = NULL;
}

static void open_slot(struct slots *slots, int64_t start_us, bool opens_segment)
{
    struct slot *slot = &slots->slot;
    /* A call, as in sliding_push: an assignment becomes a slow string instruction. */
    memset(slot, 0, sizeof *slot);
    slot->start_us = start_us;
    slot->end_us = start_us + slots->slot_us;
    slot->first_row = slots->rows;
    slot->opens_segment = opens_segment;
    slot->broken_channel = CH_COUNT;
    slots->open = true;
}

bool slots_need_count(const struct slots *slots)
{
    for (int k = 0; k < COUNTED; k++)
        if (slots->counts[k] && slots->watched[counted_channel((enum counted_kind)k)])
            return true;
    return false;
}

static bool is_broken(const struct slots *slots, const struct slot *slot)
{
    if (slot->readings == 0)
        return true;
    if (slots_need_count(slots))
        return slot->lost > 0;
    return SLOTS_ROWS_A_LOST * slot->lost > slot->readings + slot->lost;
}

static bool hand_on(struct slots *slots, struct slot *slot, struct faults *faults)
{
    slot->broken = is_broken(slots, slot);
    slots->n_slots++;
    if (!slot->broken && slot->lost > 0)
        slots->n_standing++;
    if (slot->broken)
        slots->n_broken++;
    if (slot->broken && slot->broken_channel == CH_COUNT)
        slots->n_empty++;
    else if (slot->broken)
        slots->broken_by[slot->broken_channel][slot->broken_flag]++;
    return slots->user.slot(slots->user.state, slot, faults);
}

/* A piece of time without a reading, broken, whatever its length. */
static bool hand_on_empty(struct slots *slots, int64_t start_us, int64_t end_us,
                          struct faults *faults)
{
    struct slot empty = {.start_us = start_us,
                         .end_us = end_us,
                         .first_row = slots->rows,
                         .broken_channel = CH_COUNT,
                         .broken_flag = FLAG_MISSING};
    return hand_on(slots, &empty, faults);
}

/* A new row where each is a slot: the open slot ends with it, or one step after its start if rows
 * are missing in between. */
static bool advance_reading(struct slots *slots, int64_t time_us, struct faults *faults)
{
    int64_t due_us = slots->slot.start_us + slots->slot_us;
    /* Rows that come faster by now share a slot until it is as long as the others; what is not
     * twice as fast may be jitter. */
    if (20 * (time_us - slots->last_us) < 11 * slots->slot_us &&
        10 * (due_us - time_us) > slots->slot_us)
        return true;
    bool hole = time_us > due_us + slots->slot_us / 2;
    slots->slot.end_us = hole ? due_us : time_us;
    if (!hand_on(slots, &slots->slot, faults))
        return false;
    if (hole && !hand_on_empty(slots, due_us, time_us, faults))
        return false;
    open_slot(slots, time_us, false);
    return true;
}

static bool advance_grid(struct slots *slots, int64_t time_us, struct faults *faults)
{
    if (time_us < slots->slot.end_us)
        return true;
    if (!hand_on(slots, &slots->slot, faults))
        return false;
    int64_t next_us = slots->slot.end_us;
    int64_t skipped_us = (time_us - next_us) / slots->slot_us * slots->slot_us;
    if (skipped_us > 0 && !hand_on_empty(slots, next_us, next_us + skipped_us, faults))
        return false;
    open_slot(slots, next_us + skipped_us, false);
    return true;
}

/* The slot that is open when a segment ends counts if its last reading stands where its last one
 * should; half a step is allowed for jitter. */
static bool end_segment(struct slots *slots, struct faults *faults)
{
    slots->open = false;
    if (slots->each_reading)
        return hand_on(slots, &slots->slot, faults);
    if (slots->last_us + slots->step_us + slots->step_us / 2 >= slots->slot.end_us)
        return hand_on(slots, &slots->slot, faults);
    slots->n_dropped++;
    return true;
}

/* Slots for rows of this step; whoever wants them is told. */
static bool lay(struct slots *slots, int64_t step_us, struct faults *faults)
{
    slots->step_us = step_us;
    slots->each_reading = slots->of_log = 10 * step_us >= 9 * slots->wanted_us;
    slots->slot_us = slots->of_log ? step_us : slots->wanted_us;
    if (slots->slot_us > slots->longest_us)
        slots->longest_us = slots->slot_us;
    return slots->user.ready(slots->user.state, slots->slot_us, faults);
}

/* What settles in slots of the rules is slower than they are (see settled_us). */
static bool is_slower(const struct slots *slots, int64_t step_us)
{
    return !slots->of_log || (double)step_us > SLOTS_OTHER_STEP * (double)slots->slot_us;
}

/* Whether shorter slots would serve rows of this step. */
static bool is_faster(const struct slots *slots, int64_t step_us)
{
    int64_t least_us = step_us > slots->wanted_us ? step_us : slots->wanted_us;
    return SLOTS_OTHER_STEP * (double)least_us < (double)slots->slot_us;
}

/* Rows have settled at a step, which may be another.
 * Out:     anew   slots were laid for it: the row opens a segment */
static bool settle(struct slots *slots, int64_t time_us, int64_t step_us, bool *anew,
                   struct faults *faults)
{
    bool slower = is_slower(slots, step_us);
    *anew = slower || (!slots->settled && is_faster(slots, step_us));
    slots->settled = true;
    if (!*anew) {
        slots->each_reading = SLOTS_OTHER_STEP * (double)step_us >= (double)slots->slot_us;
        slots->step_us = slots->each_reading ? slots->slot_us : step_us;
        return true;
    }
    if (slower && slots->laid.n++ == 0)
        slots->laid = (struct slots_laid){1, time_us, slots->step_us, step_us};
    if (slots->slot.end_us > time_us)
        slots->slot.end_us = time_us;
    return end_segment(slots, faults) && lay(slots, step_us, faults);
}

/* The step at which rows have settled with this one; 0: they have not. In slots of the rules only
 * longer steps are looked at: rows that share one are taken together. */
static int64_t settled_us(struct slots *slots, int64_t time_us)
{
    int64_t step_us = time_us - slots->last_us;
    if (slots->of_log || step_us > slots->slot_us)
        return pace_next(&slots->pace, step_us);
    pace_forget(&slots->pace);
    return 0;
}

/* The row opens a slot behind a gap. */
static bool open_segment(struct slots *slots, int64_t time_us, struct faults *faults)
{
    if (slots->open && !end_segment(slots, faults))
        return false;
    pace_forget(&slots->pace);
    slots->settled = false;
    slots->n_segments++;
    open_slot(slots, time_us, true);
    return true;
}

static bool advance(struct slots *slots, const struct slots_row *row, struct faults *faults)
{
    if (!slots->open || row->gap_before)
        return open_segment(slots, row->time_us, faults);
    bool anew = false;
    int64_t step_us = settled_us(slots, row->time_us);
    if (step_us > 0 && !settle(slots, row->time_us, step_us, &anew, faults))
        return false;
    if (anew)
        open_slot(slots, row->time_us, true);
    else if (slots->each_reading)
        return advance_reading(slots, row->time_us, faults);
    else
        return advance_grid(slots, row->time_us, faults);
    return true;
}

static void add_edge(struct slots *slots, enum counted_kind counted, const struct slots_row *row)
{
    struct slot_edges *edges = &slots->slot.edges[counted];
    double rate = row->value[counted_channel(counted)];
    if (slots->rows == 0 || row->gap_before)
        return;
    edges->span_us += row->time_us - slots->last_us;
    edges->holed = edges->holed || isnan(rate);
    if (!(rate > 0.0))
        return;
    double came = rate * (double)(row->time_us - slots->last_us) * 1e-6;
    edges->most = fmax(edges->most, came);
    if (edges->n++ == 0) {
        edges->first_us = row->time_us;
        edges->first = came;
    }
    edges->last_us = row->time_us;
    edges->sum += came;
}

/* The first watched channel whose reading is not good; CH_COUNT: the row counts. */
static enum channel lost_by(const struct slots *slots, const struct slots_row *row)
{
    for (size_t i = 0; i < slots->n_list; i++) {
        enum channel c = slots->list[i];
        if (slots->watched[c] && row->flag[c] != FLAG_GOOD)
            return c;
    }
    return CH_COUNT;
}

static void lose_row(struct slot *slot, const struct slots_row *row, enum channel by)
{
    if (slot->lost++ > 0)
        return;
    slot->broken_channel = by;
    slot->broken_flag = (enum reading_flag)row->flag[by];
}

static void add_row(struct slots *slots, const struct slots_row *row)
{
    struct slot *slot = &slots->slot;
    for (int k = 0; k < COUNTED; k++)
        if (slots->counts[k])
            add_edge(slots, (enum counted_kind)k, row);
    enum channel by = lost_by(slots, row);
    if (by != CH_COUNT) {
        lose_row(slot, row, by);
        return;
    }
    slot->readings++;
    for (size_t i = 0; i < slots->n_list; i++) {
        enum channel c = slots->list[i];
        if (row->flag[c] != FLAG_GOOD)
            continue;
        slot->sum[c] += row->value[c];
        slot->count[c]++;
    }
}

static bool feed(struct slots *slots, const struct slots_row *row, struct faults *faults)
{
    if (!advance(slots, row, faults) || !slots->user.reading(slots->user.state, row->value, faults))
        return false;
    add_row(slots, row);
    slots->rows++;
    slots->last_us = row->time_us;
    return true;
}

static int compare_steps(const void *a, const void *b)
{
    int64_t x = *(const int64_t *)a, y = *(const int64_t *)b;
    return (x > y) - (x < y);
}

/* Median step between held rows of one segment (the lower one of two middles); 0 if there is none.
 */
static int64_t median_step(const struct slots_row *rows, size_t n)
{
    int64_t steps[SLOTS_STEP_ROWS];
    size_t n_steps = 0;
    for (size_t i = 1; i < n; i++)
        if (!rows[i].gap_before)
            steps[n_steps++] = rows[i].time_us - rows[i - 1].time_us;
    if (n_steps == 0)
        return 0;
    qsort(steps, n_steps, sizeof steps[0], compare_steps);
    return steps[(n_steps - 1) / 2];
}

/* Enough rows were held: settles the length of slots and lets the rows through. */
static bool begin(struct slots *slots, struct faults *faults)
{
    slots->ready = true;
    bool fine = lay(slots, median_step(slots->held, slots->n_held), faults);
    for (size_t i = 0; fine && i < slots->n_held; i++)
        fine = feed(slots, &slots->held[i], faults);
    free(slots->held);
    slots->held = NULL;
    return fine;
}

static void start(struct slots *slots, const struct block *block)
{
    for (int c = 0; c < CH_COUNT; c++) {
        slots->present[c] = block->present[c];
        slots->watched[c] = slots->needs[c] && block->present[c];
        if (block->present[c])
            slots->list[slots->n_list++] = (enum channel)c;
    }
    slots->started = true;
}

/* Values that no one may use are NaN, those of channels that the log does not have included. */
static void gather(const struct slots *slots, const struct block *block, size_t i,
                   struct slots_row *row)
{
    row->time_us = block->time_us[i];
    row->gap_before = i == 0 && block->gap_before;
    for (size_t k = 0; k < slots->n_list; k++) {
        enum channel c = slots->list[k];
        bool here = block->present[c];
        row->flag[c] = here ? block->flag[c][i] : FLAG_MISSING;
        row->value[c] = row->flag[c] == FLAG_GOOD ? block->value[c][i] : NAN;
    }
}

/* What the loops over a block's rows ask again and again. */
static void look_at(struct slots *slots, const struct block *block)
{
    struct slots_block *now = &slots->block;
    now->easy = !slots->counts[COUNTED_FLOW] && !slots->counts[COUNTED_HEAT];
    now->good = true;
    for (size_t k = 0; k < slots->n_list; k++) {
        enum channel c = slots->list[k];
        now->easy = now->easy && block->present[c];
        now->good = now->good && block->all_good[c];
        now->value[c] = block->value[c];
    }
    if (now->easy)
        span_columns_of(block, slots->list, slots->n_list, &now->columns);
}

/* Rows first to end - 1 fall into the open slot and are good. */
static bool take_span(struct slots *slots, const struct block *block, size_t first, size_t end,
                      struct faults *faults)
{
    struct slot *slot = &slots->slot;
    double sum[SPAN_COLUMNS_MOST];
    if (!slots->user.span(slots->user.state, slots->block.value, first, end - first, faults))
        return false;
    for (size_t k = 0; k < slots->n_list; k++)
        sum[k] = slot->sum[slots->list[k]];
    for (size_t k = slots->n_list; k < slots->block.columns.lanes; k++)
        sum[k] = 0.0;
    span_sum(&slots->block.columns, first, end, sum);
    for (size_t k = 0; k < slots->n_list; k++) {
        slot->sum[slots->list[k]] = sum[k];
        slot->count[slots->list[k]] += (uint32_t)(end - first);
    }
    slot->readings += end - first;
    slots->rows += end - first;
    slots->last_us = block->time_us[end - 1];
    return true;
}

/* Takes the rows from `first` on that may be taken together, up to the end of their slot.
 * Out:     end  `first` if there are none */
static bool take_easy(struct slots *slots, const struct block *block, size_t first, size_t *end,
                      struct faults *faults)
{
    *end = first;
    if (!slots->block.easy || !slots->ready || !slots->open || slots->of_log ||
        (first == 0 && block->gap_before) ||
        block->time_us[first] - slots->last_us > slots->slot_us)
        return true;
    pace_forget(&slots->pace);
    if (!advance_grid(slots, block->time_us[first], faults))
        return false;
    size_t last = span_end(block, first, slots->slot.end_us);
    if (!slots->block.good && !span_good(block, slots->list, slots->n_list, first, last))
        return true;
    *end = last;
    return take_span(slots, block, first, last, faults);
}

bool slots_take(struct slots *slots, const struct block *block, struct faults *faults)
{
    if (!slots->started)
        start(slots, block);
    look_at(slots, block);
    struct slots_row row;
    for (int c = 0; c < CH_COUNT; c++) {
        row.value[c] = NAN;
        row.flag[c] = FLAG_MISSING;
    }
    for (size_t i = 0; i < block->n; i++) {
        size_t end;
        if (!take_easy(slots, block, i, &end, faults))
            return false;
        if (end > i) {
            i = end - 1;
            continue;
        }
        gather(slots, block, i, &row);
        if (!slots->ready)
            slots->held[slots->n_held++] = row;
        else if (!feed(slots, &row, faults))
            return false;
        if (!slots->ready && slots->n_held == SLOTS_STEP_ROWS && !begin(slots, faults))
            return false;
    }
    return true;
}

bool slots_finish(struct slots *slots, struct faults *faults)
{
    if (!slots->ready && slots->n_held > 0 && !begin(slots, faults))
        return false;
    return !slots->open || end_segment(slots, faults);
}
