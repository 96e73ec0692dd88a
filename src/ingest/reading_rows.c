/* Rows that give readings: from the stamp to the instant, and into the queue. */
#include "ingest/reading.h"

#include "ingest/row_seen.h"

#include <string.h>

/* The first reading of each flag keeps its place; all are counted with their block. */
static void note_first(struct reading *r, const struct rows *rows, size_t k)
{
    uint8_t flag = rows->flag[k];
    struct log_place *first = &r->account->channels[r->list[k]].first[flag];
    if (first->line > 0 && (flag != FLAG_OUT_OF_RANGE || !r->alike[k]))
        return;
    struct first_seen seen = row_seen(rows, r->now->file, rows->field[k]);
    if (first->line > 0) {
        r->alike[k] = strcmp(seen.text, r->first_flag[k][flag].text) == 0;
        return;
    }
    *first = (struct log_place){.file = r->now->file, .line = rows->line.number};
    r->first_flag[k][flag] = seen;
}

static struct log_place place_of(const struct reading *r, const struct rows *rows)
{
    return (struct log_place){r->now->file, rows->line.number};
}

/* Returns: false if a sink stopped the reading. */
static bool make_room(struct reading *r, const struct rows *rows)
{
    struct log_account *account = r->account;
    if (r->any && account->gap_us > 0 && rows->time_us - account->last_us > account->gap_us)
        reading_note_swap(r, rows);
    uint64_t bytes_done = r->bytes_before;
    for (size_t i = 0; i < r->n_open; i++)
        bytes_done += r->open[i]->rows.lines.source.raw.bytes_read;
    return r->queue.rows.block.n < BLOCK_ROWS ||
           queue_pass(&r->queue, &r->relay, account, bytes_done, false);
}

/* Into the queue's row, with its flags. */
static void put_row(struct reading *r, struct rows *rows, size_t row)
{
    reading_settle_lost(r, rows);
    struct screen_rows *to = &r->queue.rows;
    to->times_us[row] = rows->time_us;
    to->place[row] = reading_place(r->now->file, rows->line.number);
    for (size_t k = 0; k < r->plan->n_columns; k++) {
        to->values[k * SCREEN_STRIDE + row] = rows->value_si[k];
        to->flags[k * SCREEN_STRIDE + row] = rows->flag[k];
        to->marked[k] = to->marked[k] || rows->flag[k] != FLAG_GOOD;
        note_first(r, rows, k);
    }
    r->account->rows_used++;
    r->account->files[r->now->file].rows_used++;
    if (!rows->line.finished && rows->role[rows->header.n - 1] != ROLE_NONE)
        r->now->troubles.unfinished = rows->line.number;
}

void reading_note_turn(struct reading *r, long line)
{
    struct log_account *account = r->account;
    struct log_merged *merged = &account->merged;
    if (!r->any || r->last_file == r->now->file || r->now->last_line == 0)
        return;
    if (merged->turns++ == 0)
        merged->first = (struct log_place){r->now->file, line};
    account->files[r->now->file].between = true;
    account->files[r->last_file].between = true;
}

/* A row of the queue that is the newest. */
static void note_newest(struct reading *r, const struct rows *rows)
{
    struct log_account *account = r->account;
    struct log_file *file = &account->files[r->now->file];
    if (r->now->last_line > 0 && rows->time_us - r->now->last_us > account->gap_us) {
        r->now->leapt_line = rows->line.number;
        r->now->leapt_us = rows->time_us - r->now->last_us;
    }
    if (!r->any)
        account->first_us = rows->time_us;
    if (file->rows_used == 1)
        file->first_us = rows->time_us;
    file->last_us = rows->time_us;
    account->last_us = rows->time_us;
    reading_note_turn(r, rows->line.number);
    r->any = true;
    r->now->last_us = rows->time_us;
    r->now->last_line = rows->line.number;
    r->last_file = r->now->file;
    r->last_line = rows->line.number;
}

static void settle_repeat(struct reading *r, struct rows *rows)
{
    struct log_place before = {r->last_file, r->last_line};
    if (!r->repeat.open && rows->again_us == rows->time_us)
        return;
    r->repeat.last_us = r->timing.moves ? r->clock_us : r->account->last_us;
    if (!repeat_row(&r->repeat, rows, r->account, r->any, before, place_of(r, rows), r->faults))
        r->input_ok = false;
}

/* From the stamp to the instant of the readings. Returns: false if the row is refused. */
static bool settle_time(struct reading *r, struct rows *rows, int64_t *clock_us)
{
    enum row_refusal refusal = ROW_NO_START;
    struct log_place now = place_of(r, rows);
    bool placed = !r->timing.counts || timing_place(&r->timing, rows, r->account);
    if (placed)
        settle_repeat(r, rows);
    *clock_us = rows->time_us;
    if (!placed || (r->timing.moves && !timing_move(&r->timing, rows, r->account, now, &refusal,
                                                    r->faults))) {
        reading_refuse(r, rows, refusal);
        return false;
    }
    return true;
}

struct row_place reading_place(size_t file, long line)
{
    return (struct row_place){(uint32_t)file,
                              line < (long)UINT32_MAX ? (uint32_t)line : UINT32_MAX};
}

/* A clock that counts, is set or runs through an hour twice tells time by the order of its rows. */
static bool may_come_late(const struct reading *r, const struct rows *rows)
{
    const struct log_timing *timing = &r->plan->timing;
    return !r->timing.counts && timing->rows_per_stamp < 2 && timing->n_sets == 0 &&
           !r->repeat.open && rows->again_us == rows->time_us;
}

/* Puts a row that comes late where it belongs. Returns: false if it does not. */
static bool take_late(struct reading *r, struct rows *rows)
{
    struct log_late *late = &r->account->late;
    struct log_file *file = &r->account->files[r->now->file];
    int64_t by_us = r->account->last_us - rows->time_us;
    size_t row;
    if (!may_come_late(r, rows) ||
        !queue_late(&r->queue, rows->time_us, r->account->step_us, &row))
        return false;
    if (late->n++ == 0)
        late->first = place_of(r, rows);
    late->most_us = by_us > late->most_us ? by_us : late->most_us;
    put_row(r, rows, row);
    if (file->rows_used == 1 || rows->time_us < file->first_us)
        file->first_us = rows->time_us;
    if (file->rows_used == 1)
        file->last_us = rows->time_us;
    return true;
}

/* Of a count that was set aside (reading_lost.c) it is not known any more what was read. */
static bool same_as_held(const struct reading *r, const struct rows *rows, size_t row)
{
    const struct screen_rows *held = &r->queue.rows;
    for (size_t k = 0; k < r->plan->n_columns; k++) {
        size_t at = k * SCREEN_STRIDE + row;
        bool same = held->flags[at] == rows->flag[k] &&
                    memcmp(&held->values[at], &rows->value_si[k], sizeof rows->value_si[k]) == 0;
        if (!same && held->flags[at] != FLAG_AFTER_LOST)
            return false;
    }
    return true;
}

/* The row was written twice: nothing is lost with the second one. */
static bool is_copy(const struct reading *r, const struct rows *rows)
{
    size_t row;
    return may_come_late(r, rows) && queue_find(&r->queue, rows->time_us, &row) &&
           same_as_held(r, rows, row);
}

static void refuse_late(struct reading *r, const struct rows *rows)
{
    bool same = rows->time_us == r->account->last_us;
    bool lost = r->now->lost || !is_copy(r, rows);
    reading_note_swap(r, rows);
    reading_refuse(r, rows, same ? ROW_DUPLICATE : ROW_BACKWARD);
    r->now->lost = lost;
}

/* Looks for the row in other files: among the rows that are held, which may be of files that are
 * open beside this one, and in the earlier files themselves. Where files are apart a stamp does not
 * tell the instant by itself. */
static enum overlap_kind find_other(struct reading *r, const struct rows *rows, int64_t raw_us,
                                    struct log_place *where)
{
    size_t row;
    struct reading_file *now = r->now;
    if (r->turns.apart == NULL && may_come_late(r, rows) &&
        queue_find(&r->queue, rows->time_us, &row)) {
        struct row_place place = r->queue.rows.place[row];
        *where = (struct log_place){place.file, (long)place.line};
        if (place.file != now->file)
            return same_as_held(r, rows, row) ? OVERLAP_SAME : OVERLAP_DIFFERS;
    }
    return overlap_find(&now->overlap, r->account, now->file, rows, raw_us, where, r->faults);
}

/* A row whose stamp does not come after that of the last used one. Returns: false with a machine
 * fault. */
static bool settle_late(struct reading *r, struct rows *rows, int64_t raw_us)
{
    struct log_place where;
    enum overlap_kind kind = find_other(r, rows, raw_us, &where);
    if (kind == OVERLAP_FAILED)
        return false;
    /* Of a row that falls back in its own file the stamp is wrong, not the other file. */
    if (kind == OVERLAP_DIFFERS && r->now->last_line > 0 && rows->time_us < r->now->last_us)
        kind = OVERLAP_NONE;
    if (kind == OVERLAP_NONE) {
        if (take_late(r, rows))
            return true;
        refuse_late(r, rows);
        return true;
    }
    enum row_refusal refusal = kind == OVERLAP_SAME ? ROW_OVERLAP : ROW_DIFFERS;
    if (r->now->troubles.count[refusal] == 0)
        r->now->troubles.before[refusal] =
            (struct row_before){rows->time_us, r->account->files[where.file].path, where.line};
    reading_refuse(r, rows, refusal);
    return true;
}

/* The row's own file was further: that or the row is wrong, or the row came late. */
static bool falls(const struct reading *r, const struct rows *rows)
{
    return r->any && rows->time_us <= r->account->last_us && r->now->last_line > 0 &&
           rows->time_us < r->now->last_us && may_come_late(r, rows);
}

bool reading_take_row(struct reading *r)
{
    struct rows *rows = &r->now->rows;
    int64_t raw_us = rows->time_us;
    int64_t clock_us;
    if (!settle_time(r, rows, &clock_us))
        return true;
    if (!make_room(r, rows))
        return false;
    if (falls(r, rows) && !reading_take_back(r))
        return false;
    if (r->any && rows->time_us <= r->account->last_us)
        return settle_late(r, rows, raw_us);
    put_row(r, rows, r->queue.rows.block.n++);
    note_newest(r, rows);
    r->clock_us = clock_us;
    return true;
}
