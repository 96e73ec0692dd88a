/* The files of a log: opened when the rows reach them (ingest/turns.h), read by turns, and closed.
 */
#include "ingest/reading.h"

#include "base/text.h"
#include "ingest/row_head.h"
#include "ingest/row_kind.h"

#include <stdlib.h>
#include <string.h>

/* A file whose first HOPELESS_ROWS rows hold no readable stamp is not read on: the format is wrong.
 */
enum { HOPELESS_ROWS = 1000 };

static bool hopeless(const struct reading *r)
{
    const struct log_file *file = &r->account->files[r->now->file];
    return file->rows_used == 0 && r->now->troubles.count[ROW_BAD_STAMP] >= HOPELESS_ROWS;
}

/* A row that holds no readings. Returns: false if the file is not read on. */
static bool set_aside(struct reading *r, enum row_status status)
{
    struct rows *rows = &r->now->rows;
    if (status != ROWS_HEADER_OTHER && status != ROWS_UNITS_OTHER) {
        reading_set_aside(r, rows, status);
        return !hopeless(r);
    }
    reading_refuse(r, rows, ROW_BAD_LINE);
    reading_settle_pending(r, ROW_BAD_STAMP);
    r->input_ok = status == ROWS_UNITS_OTHER ? row_head_complain_units(rows, r->faults)
                                             : row_complain_header(rows, r->faults);
    return false;
}

/* A row below what looks like another head. Returns: false if the file is not read on. */
static bool below_other_head(struct reading *r)
{
    const struct first_seen *head = &r->now->other_head;
    if (head->line == 0)
        return true;
    reading_refuse(r, &r->now->rows, ROW_BAD_LINE);
    reading_settle_pending(r, ROW_BAD_LINE);
    r->input_ok = row_head_complain(&r->now->rows, head->line, head->text, r->faults);
    r->now->row = false;
    return false;
}

/* Up to which stamp the rows of the current file come before all others: those that the files
 * beside it hold, and those of the next file. */
static int64_t limit_of(const struct reading *r)
{
    int64_t limit_us = turns_limit(&r->turns);
    for (size_t i = 0; i < r->n_open; i++) {
        const struct reading_file *file = r->open[i];
        if (file == r->now)
            continue;
        if (!file->row)
            return INT64_MIN;
        limit_us = file->rows.time_us < limit_us ? file->rows.time_us : limit_us;
    }
    return limit_us;
}

/* A row that leaps ahead of another file's rows lets these in between: whether it stands where it
 * belongs is asked before. Returns: false with a machine fault. */
static bool look_for_strays(struct reading *r, int64_t limit_us)
{
    const struct reading_file *now = r->now;
    bool leaps = now->last_line > 0 && now->rows.time_us >= limit_us && r->account->gap_us > 0 &&
                 now->rows.time_us - now->last_us > r->account->gap_us;
    return !leaps || reading_ask_strays(r);
}

/* Rows that are shorter than those before, one after the other. The first run of some length is
 * kept. Runs begin behind a row that is whole: a logger may leave empty fields at the end out. */
static void note_fewer(struct reading_file *now, uint64_t at_row)
{
    struct fewer_fields *run = &now->troubles.fewer;
    const struct rows *rows = &now->rows;
    bool whole_before = now->last_line > 0 && now->last_line != now->short_line;
    if (run->n > 0 && run->fields == rows->fields && run->at_row + 1 == at_row) {
        run->n++;
        run->at_row = at_row;
    } else if (run->n < FEWER_LEAST && whole_before) {
        *run = (struct fewer_fields){.n = 1,
                                     .fields = rows->fields,
                                     .before = rows->header.n,
                                     .line = rows->line.number,
                                     .last_whole = now->last_line,
                                     .at_row = at_row,
                                     .rare = at_row > FEWER_BEHIND &&
                                             now->short_rows * 100 < at_row};
    }
    now->short_rows++;
    now->short_line = rows->line.number;
}

/* Reads on to a row, which the current file then holds, or to its end. Returns: false if the
 * reading cannot go on at all. */
static bool next_row(struct reading *r)
{
    struct reading_file *now = r->now;
    const int64_t limit_us = limit_of(r);
    while (!now->row && !now->ended) {
        reading_take_batch(r, limit_us);
        enum row_status status = rows_next(&now->rows, r->faults);
        if (status == ROWS_FAILED)
            return false;
        now->row = status == ROWS_ROW;
        now->ended = status == ROWS_END;
        if (now->ended)
            reading_settle_pending(r, ROW_SUMMARY);
        if (now->ended)
            break;
        r->account->rows_read++;
        r->account->files[now->file].rows_read++;
        if (now->row && !below_other_head(r)) {
            now->ended = now->given_up = true;
            break;
        }
        if (now->row && !look_for_strays(r, limit_us))
            return false;
        if (now->row && (now->pending.n > 0 || now->pending.over)) {
            reading_settle_pending(r, ROW_BAD_STAMP);
            now->pending.over = false;
        }
        if (now->row && now->rows.fields < now->rows.header.n)
            note_fewer(now, r->account->files[now->file].rows_read);
        if (!now->row)
            now->ended = now->given_up = !set_aside(r, status);
        else
            now->row = !reading_is_stray(r);
    }
    return true;
}

/* Ends a file: its hash, and what is to be said of its rows. */
static bool close_account(struct reading *r)
{
    struct reading_file *now = r->now;
    struct stamp_troubles *troubles = &now->troubles;
    const struct raw *raw = &now->rows.lines.source.raw;
    struct file_state after = file_state_open(raw->fd);
    struct log_file *file = &r->account->files[now->file];
    r->lost = r->lost || now->lost;
    file->bytes = raw->bytes_read;
    r->bytes_before += file->bytes;
    troubles->rows_read = file->rows_read;
    troubles->rows_used = file->rows_used;
    troubles->step_us = r->account->step_us;
    troubles->contradicted = r->timing.contradicted;
    troubles->apart = r->turns.apart;
    r->input_ok = complain_rows(troubles, r->faults) && r->input_ok;
    /* A file that was given up has no hash of the whole. */
    if (now->given_up)
        return true;
    const struct file_state *before = &r->before[r->turns.files[now->turn].index];
    enum file_change change = file_state_compare(before, &after, file->bytes);
    r->input_ok = complain_change(file->path, change, file->bytes, r->faults) && r->input_ok;
    lines_digest(&now->rows.lines, file->sha256);
    return true;
}

/* Frees the open file i. */
static void let_go(struct reading *r, size_t i)
{
    struct reading_file *file = r->open[i];
    turns_close(&r->turns, file->turn);
    overlap_close(&file->overlap);
    stray_free(&file->stray);
    rows_close(&file->rows);
    free(file);
    r->n_open--;
    memmove(r->open + i, r->open + i + 1, (r->n_open - i) * sizeof r->open[0]);
}

/* Reads on in the files that hold no row, and closes those that have none any more. */
static bool fill(struct reading *r)
{
    for (size_t i = 0; i < r->n_open;) {
        r->now = r->open[i];
        if (!r->now->row && !next_row(r))
            return false;
        if (!r->now->ended) {
            i++;
            continue;
        }
        bool ok = reading_end_strays(r) && close_account(r);
        let_go(r, i);
        if (!ok)
            return false;
    }
    return true;
}

/* Its place in the account. Returns: false with a machine fault. */
static bool begin_account(struct reading *r, struct reading_file *file, const char *path)
{
    struct log_account *account = r->account;
    file->file = account->n_files;
    account->files[file->file].path = text_copy(path, r->faults);
    if (account->files[file->file].path == NULL)
        return false;
    account->n_files++;
    file->troubles = (struct stamp_troubles){
        .path = account->files[file->file].path, .plan = r->plan, .format = &r->form.stamp};
    return true;
}

/* Opens the next file beside those that are open. Returns: false with a fault. */
static bool open_next(struct reading *r)
{
    struct reading_file *file = calloc(1, sizeof *file);
    if (file == NULL)
        return fault_memory(r->faults);
    const char *path = r->plan->files[r->turns.files[r->turns.next].index];
    if (!begin_account(r, file, path) || !rows_open(&file->rows, &r->form, path, true, r->faults)) {
        free(file);
        return false;
    }
    file->turn = turns_open(&r->turns);
    batch_init(&file->batch, &file->rows);
    if (r->threads >= READING_AHEAD && r->n_open == 0)
        raw_go_ahead(&file->rows.lines.source.raw);
    for (size_t k = 0; k < r->plan->n_columns; k++)
        r->field[k] = file->rows.field[k] + 1;
    r->open[r->n_open++] = file;
    r->now = file;
    if (r->turns.files[file->turn].stray && !reading_ask_strays(r))
        return false;
    for (size_t i = 0; r->n_open > 1 && i < r->n_open; i++)
        r->open[i]->troubles.merged = true;
    return true;
}

/* The open file with the earliest row; of equal ones the first. NULL: no file is open. */
static struct reading_file *earliest(const struct reading *r)
{
    struct reading_file *first = r->n_open > 0 ? r->open[0] : NULL;
    for (size_t i = 1; i < r->n_open; i++)
        if (r->open[i]->rows.time_us < first->rows.time_us)
            first = r->open[i];
    return first;
}

/* One row. Out: over  there was none any more. Returns: false if the reading cannot go on at all.
 */
static bool take_next(struct reading *r, bool *over)
{
    bool due;
    if (!fill(r))
        return false;
    struct reading_file *first = earliest(r);
    int64_t time_us = first == NULL ? INT64_MAX : first->rows.time_us;
    if (!turns_due(&r->turns, time_us, &due, r->faults))
        return false;
    *over = first == NULL && !due;
    if (due || *over)
        return *over || open_next(r);
    r->now = first;
    first->row = false;
    return reading_take_row(r);
}

bool reading_files(struct reading *r, bool *over)
{
    bool ok = true;
    while (ok && !*over && !relay_is_due(&r->relay))
        ok = take_next(r, over);
    return ok;
}

void reading_close(struct reading *r)
{
    while (r->n_open > 0)
        let_go(r, r->n_open - 1);
}
