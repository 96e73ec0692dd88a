#include "ingest/reader.h"

#include "base/text.h"
#include "base/threads.h"
#include "ingest/file_state.h"
#include "ingest/reading.h"
#include "ingest/row_kind.h"
#include "ingest/row_seen.h"
#include "ingest/rows.h"
#include "ingest/span.h"
#include "ingest/survey.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* A file whose first HOPELESS_ROWS rows hold no readable stamp is not read on: the format is wrong.
 */
enum { HOPELESS_ROWS = 1000 };

/* From so many threads on one of them runs the sinks, another one reads and hashes the file. A log
 * below THREADED_BYTES is read before threads are of use. */
enum { THREADS_RELAY = 2, THREADS_AHEAD = 3, THREADED_BYTES = 16 << 20 };

static bool allocate(struct reading *r)
{
    const struct log_plan *plan = r->plan;
    r->account->files = calloc(plan->n_files + 1, sizeof *r->account->files);
    r->before = calloc(plan->n_files + 1, sizeof *r->before);
    if (r->account->files == NULL || r->before == NULL)
        return fault_memory(r->faults);
    for (size_t i = 0; i < plan->n_columns; i++) {
        enum channel channel = plan->columns[i].channel;
        r->list[i] = channel;
        r->alike[i] = true;
        r->account->channels[channel].present = true;
        r->account->channels[channel].column = plan->columns[i].name;
    }
    return screen_init(&r->screen, plan, r->account, r->faults);
}

/* Hands the rows that are held to the sinks. Returns: false if one of them stopped the reading. */
static bool hand_on(struct reading *r, struct faults *faults)
{
    struct block *block = &r->screen.held.block;
    if (block->n == 0)
        return true;
    memset(block->all_good, 0, sizeof block->all_good);
    for (size_t k = 0; k < r->plan->n_columns; k++)
        block->all_good[r->list[k]] = span_good(block, &r->list[k], 1, 0, block->n);
    log_account_count(r->account, block, r->list, r->plan->n_columns);
    for (size_t i = 0; i < r->n_sinks; i++)
        if (!r->sinks[i].take(r->sinks[i].state, block, faults))
            return false;
    return true;
}

/* Rows that were read become those that are held, and these are handed on; at the end of a segment
 * all are. Returns: false if a sink stopped the reading. */
static bool take_rows(void *state, struct screen_rows *rows, bool segment_ends,
                      struct faults *faults)
{
    struct reading *r = state;
    if (rows->block.n > 0) {
        screen_take(&r->screen, rows);
        screen_judge(&r->screen);
        if (!hand_on(r, faults))
            return false;
        screen_hold(&r->screen);
    }
    if (!segment_ends)
        return true;
    screen_settle(&r->screen);
    if (!hand_on(r, faults))
        return false;
    screen_restart(&r->screen);
    return true;
}

/* The first reading of each flag keeps its place; all are counted with their block. */
static void note_first(struct reading *r, const struct rows *rows, size_t k)
{
    uint8_t flag = rows->flag[k];
    struct log_place *first = &r->account->channels[r->list[k]].first[flag];
    if (first->line > 0 && (flag != FLAG_OUT_OF_RANGE || !r->alike[k]))
        return;
    struct first_seen seen = row_seen(rows, r->file, rows->field[k]);
    if (first->line > 0) {
        r->alike[k] = strcmp(seen.text, r->first_flag[k][flag].text) == 0;
        return;
    }
    *first = (struct log_place){.file = r->file, .line = rows->line.number};
    r->first_flag[k][flag] = seen;
}

/* The first reading of each flag that was set after its row was read. */
static void note_screened(struct reading *r, size_t k)
{
    const struct log_column *column = &r->plan->columns[k];
    for (size_t flag = 0; flag < FLAG_COUNT; flag++) {
        const struct screen_first *first = &r->screen.column[k].first[flag];
        struct log_place *place = &r->account->channels[column->channel].first[flag];
        if (!first->any || (place->line > 0 && (place->file < first->place.file ||
                                                (place->file == first->place.file &&
                                                 place->line < (long)first->place.line))))
            continue;
        struct first_seen *seen = &r->first_flag[k][flag];
        *place = (struct log_place){.file = first->place.file, .line = first->place.line};
        *seen = (struct first_seen){.file = place->file, .line = place->line, .field = r->field[k]};
        value_text(column, first->value_si, seen->text);
    }
}

static struct log_place place_of(const struct reading *r, const struct rows *rows)
{
    return (struct log_place){r->file, rows->line.number};
}

/* Returns: false if a sink stopped the reading. */
static bool make_room(struct reading *r, const struct rows *rows)
{
    struct log_account *account = r->account;
    if (r->any && account->gap_us > 0 && rows->time_us - account->last_us > account->gap_us)
        reading_note_swap(r, rows);
    uint64_t bytes_done = r->bytes_before + rows->lines.source.bytes_read;
    return r->queue.rows.block.n < BLOCK_ROWS ||
           queue_pass(&r->queue, &r->relay, account, bytes_done, false);
}

/* Into the queue's row, with its flags. */
static void put_row(struct reading *r, const struct rows *rows, size_t row)
{
    struct screen_rows *to = &r->queue.rows;
    to->times_us[row] = rows->time_us;
    to->place[row] = reading_place(r->file, rows->line.number);
    for (size_t k = 0; k < r->plan->n_columns; k++) {
        to->values[k * BLOCK_ROWS + row] = rows->value_si[k];
        to->flags[k * BLOCK_ROWS + row] = rows->flag[k];
        note_first(r, rows, k);
    }
    r->account->rows_used++;
    r->account->files[r->file].rows_used++;
    if (!rows->line.finished && rows->role[rows->header.n - 1] != ROLE_NONE)
        r->troubles.unfinished = rows->line.number;
}

/* A row of the queue that is the newest. */
static void note_newest(struct reading *r, const struct rows *rows)
{
    struct log_account *account = r->account;
    struct log_file *file = &account->files[r->file];
    if (!r->any)
        account->first_us = rows->time_us;
    if (file->rows_used == 1)
        file->first_us = rows->time_us;
    file->last_us = rows->time_us;
    account->last_us = rows->time_us;
    r->any = true;
    r->last_file = r->file;
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
static bool take_late(struct reading *r, const struct rows *rows)
{
    struct log_late *late = &r->account->late;
    struct log_file *file = &r->account->files[r->file];
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

/* A row whose stamp does not come after that of the last used one. Returns: false with a machine
 * fault. */
static bool settle_late(struct reading *r, const struct rows *rows, int64_t raw_us)
{
    struct log_place where;
    enum overlap_kind kind =
        overlap_find(&r->overlap, r->account, r->file, rows, raw_us, &where, r->faults);
    bool same = rows->time_us == r->account->last_us;
    if (kind == OVERLAP_FAILED)
        return false;
    if (kind == OVERLAP_NONE) {
        if (take_late(r, rows))
            return true;
        reading_note_swap(r, rows);
        reading_refuse(r, rows, same ? ROW_DUPLICATE : ROW_BACKWARD);
        return true;
    }
    enum row_refusal refusal = kind == OVERLAP_SAME ? ROW_OVERLAP : ROW_DIFFERS;
    if (r->troubles.count[refusal] == 0)
        r->troubles.before[refusal] =
            (struct row_before){rows->time_us, r->account->files[where.file].path, where.line};
    reading_refuse(r, rows, refusal);
    return true;
}

/* Returns: false if a sink stopped the reading, or with a machine fault. */
static bool take_row(struct reading *r, struct rows *rows)
{
    int64_t raw_us = rows->time_us;
    int64_t clock_us;
    if (!settle_time(r, rows, &clock_us))
        return true;
    if (!make_room(r, rows))
        return false;
    if (r->any && rows->time_us <= r->account->last_us)
        return settle_late(r, rows, raw_us);
    put_row(r, rows, r->queue.rows.block.n++);
    note_newest(r, rows);
    r->clock_us = clock_us;
    return true;
}

static bool hopeless(const struct reading *r)
{
    const struct log_file *file = &r->account->files[r->file];
    return file->rows_used == 0 && r->troubles.count[ROW_BAD_STAMP] >= HOPELESS_ROWS;
}

/* Returns: false if the reading cannot go on at all. */
static bool read_rows(struct reading *r, struct rows *rows)
{
    struct batch batch;
    batch_init(&batch, rows);
    for (;;) {
        reading_take_batch(r, &batch, rows);
        enum row_status status = rows_next(rows, r->faults);
        if (status == ROWS_END) {
            reading_settle_pending(r, ROW_SUMMARY);
            r->pending.over = false;
            return true;
        }
        if (status == ROWS_FAILED)
            return false;
        r->account->rows_read++;
        r->account->files[r->file].rows_read++;
        if (status == ROWS_ROW && (r->pending.n > 0 || r->pending.over)) {
            reading_settle_pending(r, ROW_BAD_STAMP);
            r->pending.over = false;
        }
        if (status == ROWS_HEADER_OTHER) {
            reading_refuse(r, rows, ROW_BAD_LINE);
            reading_settle_pending(r, ROW_BAD_STAMP);
            r->input_ok = rows_complain_header(rows, r->faults);
            return true;
        }
        if (status != ROWS_ROW)
            reading_set_aside(r, rows, status);
        else if (!take_row(r, rows))
            return false;
        if (hopeless(r))
            return true;
    }
}

/* Ends a file: its hash, and what is to be said of its rows. */
static bool close_account(struct reading *r, struct rows *rows, const struct file_state *before)
{
    struct file_state after = file_state_open(rows->lines.source.fd);
    struct log_file *file = &r->account->files[r->file];
    file->bytes = rows->lines.source.bytes_read;
    r->bytes_before += file->bytes;
    r->troubles.rows_read = file->rows_read;
    r->troubles.rows_used = file->rows_used;
    r->troubles.step_us = r->account->step_us;
    r->troubles.contradicted = r->timing.contradicted;
    r->input_ok = complain_rows(&r->troubles, r->faults) && r->input_ok;
    /* A file that was given up has no hash of the whole. */
    if (hopeless(r))
        return true;
    enum file_change change = file_state_compare(before, &after, file->bytes);
    r->input_ok = complain_change(file->path, change, file->bytes, r->faults) && r->input_ok;
    return lines_digest(&rows->lines, file->sha256, r->faults);
}

static bool read_file(struct reading *r, size_t index)
{
    struct rows rows;
    const char *path = r->plan->files[index];
    struct log_account *account = r->account;
    r->file = account->n_files;
    account->files[r->file].path = text_copy(path, r->faults);
    if (account->files[r->file].path == NULL)
        return false;
    account->n_files++;
    r->troubles = (struct stamp_troubles){
        .path = account->files[r->file].path, .plan = r->plan, .format = &r->form.stamp};
    if (!rows_open(&rows, &r->form, path, true, r->faults))
        return false;
    if (r->threads >= THREADS_AHEAD)
        source_go_ahead(&rows.lines.source);
    for (size_t k = 0; k < r->plan->n_columns; k++)
        r->field[k] = rows.field[k] + 1;
    bool ok = read_rows(r, &rows) && close_account(r, &rows, &r->before[index]);
    overlap_close(&r->overlap);
    rows_close(&rows);
    return ok;
}

static void complain_unnamed(struct reading *r)
{
    char number[32];
    if (r->named <= NAMED_MAX)
        return;
    struct place at = fault_at(r->account->files[r->file].path, 0, 0);
    struct fault *fault = fault_new(r->faults, FAULT_INPUT, at);
    fault_found(fault, "and %s more bad lines, not listed",
                count_text(r->named - NAMED_MAX, number));
}

static bool read_all(struct reading *r, const size_t *order)
{
    for (size_t i = 0; i < r->plan->n_files; i++)
        if (!read_file(r, order[i]))
            return false;
    if (!queue_pass(&r->queue, &r->relay, r->account, r->bytes_before, true) ||
        !relay_end(&r->relay, r->faults))
        return false;
    for (size_t k = 0; k < r->plan->n_columns; k++)
        note_screened(r, k);
    struct log_place last = {r->last_file, r->last_line};
    r->input_ok =
        repeat_end(&r->repeat, r->account, last, r->plan->zone, r->faults) && r->input_ok;
    r->input_ok = timing_end(&r->timing, r->account, r->faults) && r->input_ok;
    complain_unnamed(r);
    for (size_t k = 0; k < r->plan->n_columns; k++)
        r->input_ok = complain_channel(r->plan, &r->plan->columns[k], r->account, r->first_flag[k],
                                       r->alike[k], r->faults) &&
                      r->input_ok;
    for (size_t i = 0; r->input_ok && i < r->n_sinks; i++)
        if (r->sinks[i].finish != NULL && !r->sinks[i].finish(r->sinks[i].state, r->faults))
            return false;
    return r->input_ok;
}

/* A file that cannot be asked is complained of when it is opened. */
static void note_states(struct reading *r)
{
    for (size_t i = 0; i < r->plan->n_files; i++) {
        r->before[i] = file_state_at(r->plan->files[i]);
        r->account->bytes_total += r->before[i].size;
    }
}

/* Not more than are of use; without a statement, one for a log that is read in no time. */
static unsigned choose_threads(const struct reading *r)
{
    if (r->plan->threads > 0)
        return r->plan->threads;
    return r->account->bytes_total < THREADED_BYTES || thread_cores() == 1 ? 1 : THREADS_AHEAD;
}

static bool read_in_order(struct reading *r, size_t *order)
{
    struct log_account *account = r->account;
    if (!allocate(r) || !queue_init(&r->queue, r->plan, r->faults))
        return false;
    note_states(r);
    if (!survey_order(&r->form, order, r->faults) ||
        !survey_step(&r->form, order, &account->step_us, r->faults))
        return false;
    timing_init(&r->timing, &r->form, account);
    account->gap_us = r->plan->gap_us > 0 ? r->plan->gap_us : 3 * account->step_us;
    r->threads = choose_threads(r);
    if (!relay_begin(&r->relay, r->plan, take_rows, r, r->threads >= THREADS_RELAY, r->faults))
        return false;
    return read_all(r, order);
}

static bool no_files(struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(NULL, 0, 0));
    fault_found(fault, "no log file is named");
    fault_hint(fault, "state 'file' in [log]");
    return false;
}

bool log_read(const struct log_plan *plan, struct sink *sinks, size_t n,
              struct log_account *account, struct faults *faults)
{
    log_account_init(account);
    if (plan->n_files == 0)
        return no_files(faults);
    struct reading *r = calloc(1, sizeof *r);
    size_t *order = calloc(plan->n_files, sizeof *order);
    bool ok = (r != NULL && order != NULL) || fault_memory(faults);
    if (ok) {
        r->plan = plan;
        r->sinks = sinks;
        r->n_sinks = n;
        r->account = account;
        r->faults = faults;
        r->input_ok = true;
        ok = row_form_init(&r->form, plan, faults) && read_in_order(r, order);
        relay_end(&r->relay, faults);
        screen_free(&r->screen);
        queue_free(&r->queue);
        free(r->before);
    }
    free(order);
    free(r);
    return ok;
}
