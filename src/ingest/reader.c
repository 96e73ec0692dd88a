#include "ingest/reader.h"

#include "base/text.h"
#include "ingest/complaint.h"
#include "ingest/file_state.h"
#include "ingest/repeat.h"
#include "ingest/rows.h"
#include "ingest/span.h"
#include "ingest/survey.h"
#include "ingest/timing.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* NAMED_MAX bad lines are named, the others counted. A file whose first HOPELESS_ROWS rows hold no
 * readable stamp is not read on: the format is wrong. */
enum { NAMED_MAX = 50, HOPELESS_ROWS = 1000 };

struct reading {
    const struct log_plan *plan;
    struct row_form form;
    struct sink *sinks;
    size_t n_sinks;
    struct log_account *account;
    struct faults *faults;

    struct block block;
    double *values; /* all of the block's arrays, one allocation each */
    uint8_t *flags;

    struct file_state *before; /* of each file of the plan, when the reading began */
    size_t file; /* into account->files */
    uint64_t bytes_before; /* of the files before it */
    struct stamp_troubles troubles;
    struct repeat repeat;
    struct timing timing;
    struct first_seen first_flag[CH_LOGGED][FLAG_COUNT]; /* by column of the plan */
    enum channel list[CH_LOGGED];                        /* channel of each column of the plan */
    bool any;                                            /* a row was used */
    int64_t clock_us; /* of the last used row, before timing_move */
    size_t last_file;                                    /* of the last used row, with last_line */
    long last_line;
    uint64_t named;
    bool input_ok; /* no input fault so far */
};

static bool allocate(struct reading *r)
{
    const struct log_plan *plan = r->plan;
    r->values = calloc(plan->n_columns * BLOCK_ROWS + 1, sizeof *r->values);
    r->flags = calloc(plan->n_columns * BLOCK_ROWS + 1, sizeof *r->flags);
    r->account->files = calloc(plan->n_files + 1, sizeof *r->account->files);
    r->before = calloc(plan->n_files + 1, sizeof *r->before);
    if (r->values == NULL || r->flags == NULL || r->account->files == NULL || r->before == NULL)
        return fault_memory(r->faults);
    for (size_t i = 0; i < plan->n_columns; i++) {
        enum channel channel = plan->columns[i].channel;
        r->list[i] = channel;
        r->block.present[channel] = true;
        r->block.value[channel] = r->values + i * BLOCK_ROWS;
        r->block.flag[channel] = r->flags + i * BLOCK_ROWS;
        r->account->channels[channel].present = true;
        r->account->channels[channel].column = plan->columns[i].name;
    }
    r->block.gap_before = true;
    return true;
}

static void count_flags(const uint8_t *flag, size_t n, uint64_t *count)
{
    for (size_t i = 0; i < n; i++)
        count[flag[i]]++;
}

static void widen_range(struct log_channel *channel, double least_si, double most_si)
{
    if (!(channel->least_si <= least_si)) /* true for the first one, which is compared with NaN */
        channel->least_si = least_si;
    if (!(channel->most_si >= most_si))
        channel->most_si = most_si;
}

/* Counts the readings of a block where not all are good. */
static void count_mixed(struct reading *r, size_t k)
{
    struct log_channel *channel = &r->account->channels[r->list[k]];
    const double *value = r->block.value[r->list[k]];
    const uint8_t *flag = r->block.flag[r->list[k]];
    count_flags(flag, r->block.n, channel->count);
    for (size_t i = 0; i < r->block.n; i++)
        if (flag[i] == FLAG_GOOD)
            widen_range(channel, value[i], value[i]);
}

static void count_block(struct reading *r)
{
    struct span_tally tally[CH_LOGGED];
    size_t n = r->plan->n_columns;
    if (r->block.n == 0)
        return;
    bool good = span_good(&r->block, r->list, n, 0, r->block.n);
    for (size_t k = 0; k < n; k++)
        tally[k] = (struct span_tally){.sum = 0.0, .least = INFINITY, .most = -INFINITY};
    if (good)
        span_tally(&r->block, r->list, n, 0, r->block.n, tally);
    for (size_t k = 0; k < n; k++) {
        if (!good) {
            count_mixed(r, k);
            continue;
        }
        r->account->channels[r->list[k]].count[FLAG_GOOD] += r->block.n;
        widen_range(&r->account->channels[r->list[k]], tally[k].least, tally[k].most);
    }
}

/* Hands the block to the sinks. Returns: false if one of them stopped the reading. */
static bool flush(struct reading *r, bool gap_follows)
{
    count_block(r);
    if (r->block.n > 0)
        for (size_t i = 0; i < r->n_sinks; i++)
            if (!r->sinks[i].take(r->sinks[i].state, &r->block, r->faults))
                return false;
    r->block.gap_before = gap_follows || (r->block.n == 0 && r->block.gap_before);
    r->block.n = 0;
    return true;
}

static void quote(const char *bytes, size_t n, char out[QUOTED_SIZE])
{
    bool cut = n > QUOTED_SIZE - 4;
    size_t kept = cut ? QUOTED_SIZE - 4 : n;
    while (cut && kept > 0 && ((unsigned char)bytes[kept] & 0xC0U) == 0x80U)
        kept--;
    bool utf8 = text_is_utf8(bytes, kept);
    for (size_t i = 0; i < kept; i++) {
        unsigned char c = (unsigned char)bytes[i];
        out[i] = c < 0x20 || c == 0x7F || (c >= 0x80 && !utf8) ? '?' : bytes[i];
    }
    strcpy(out + kept, cut ? "..." : "");
}

/* Where a field of the current line stands, and its text: asked for only when it is to be told. */
static struct first_seen see(const struct reading *r, const struct rows *rows, size_t field)
{
    struct first_seen seen = {.file = r->file, .line = rows->line.number, .field = field + 1};
    size_t start;
    size_t n;
    if (!csv_field_span(rows->line.bytes, rows->line.n, r->plan->separator, field, &start, &n))
        return seen;
    seen.column = (long)text_characters(rows->line.bytes, start) + 1;
    if (n >= 2 && rows->line.bytes[start] == '"' && rows->line.bytes[start + n - 1] == '"') {
        start++;
        n -= 2;
    }
    quote(rows->line.bytes + start, n, seen.text);
    return seen;
}

static void refuse_row(struct reading *r, const struct rows *rows, enum row_refusal refusal)
{
    struct log_account *account = r->account;
    account->refused[refusal]++;
    if (account->first_refused[refusal].line == 0)
        account->first_refused[refusal] =
            (struct log_place){.file = r->file, .line = rows->line.number};
    if (r->troubles.count[refusal]++ > 0)
        return;
    r->troubles.first[refusal] = see(r, rows, rows->time_field[0]);
    if (refusal == ROW_BAD_STAMP)
        r->troubles.first_bad = rows->stamp_status;
    if (refusal == ROW_BACKWARD)
        r->troubles.backward_us = rows->time_us;
    if (refusal == ROW_UNSET)
        r->troubles.unset_us = rows->time_us;
    if ((refusal == ROW_BACKWARD || refusal == ROW_SKIPPED || refusal == ROW_NO_START) && r->any)
        r->troubles.before[refusal] = (struct row_before){account->last_us,
                                                          account->files[r->last_file].path,
                                                          r->last_line};
}

static void bad_line(struct reading *r, const struct rows *rows)
{
    r->input_ok = false;
    refuse_row(r, rows, ROW_BAD_LINE);
    if (r->named++ < NAMED_MAX)
        rows_complain(rows, r->faults);
}

/* The first reading of each flag keeps its place; all are counted with their block. */
static void note_first(struct reading *r, const struct rows *rows, size_t k)
{
    uint8_t flag = rows->flag[k];
    struct log_place *first = &r->account->channels[r->list[k]].first[flag];
    if (first->line > 0)
        return;
    *first = (struct log_place){.file = r->file, .line = rows->line.number};
    r->first_flag[k][flag] = see(r, rows, rows->field[k]);
}

static void note_gap(struct log_account *account, int64_t to_us)
{
    struct log_gap gap = {.from_us = account->last_us, .to_us = to_us};
    account->gaps++;
    if (gap.to_us - gap.from_us > account->longest.to_us - account->longest.from_us)
        account->longest = gap;
    if (account->n_first_gaps < LOG_GAPS_KEPT)
        account->first_gaps[account->n_first_gaps++] = gap;
}

/* A leap of weeks may be an exchange of day and month. */
static void note_swap(struct reading *r, const struct rows *rows)
{
    int64_t meant_us[2];
    int64_t last_us = r->account->last_us;
    enum swap_kind kind = swap_between(&r->form.stamp, last_us, rows->time_us, meant_us);
    if (kind == SWAP_NONE)
        return;
    struct swap_seen *seen = rows->time_us < last_us ? &r->troubles.mixed : &r->troubles.leap;
    if (seen->count++ > 0)
        return;
    seen->kind = kind;
    seen->before =
        (struct row_before){last_us, r->account->files[r->last_file].path, r->last_line};
    seen->now_us = rows->time_us;
    seen->meant_us[0] = meant_us[0];
    seen->meant_us[1] = meant_us[1];
    seen->now = see(r, rows, rows->time_field[0]);
}

static struct log_place place_of(const struct reading *r, const struct rows *rows)
{
    return (struct log_place){r->file, rows->line.number};
}

/* Starts a new block where the old one is full or time does not run on. */
static bool make_room(struct reading *r, const struct rows *rows, int64_t time_us)
{
    struct log_account *account = r->account;
    bool gap = r->any && account->gap_us > 0 && time_us - account->last_us > account->gap_us;
    if (gap) {
        note_swap(r, rows);
        note_gap(account, time_us);
    }
    if (!gap && r->block.n < BLOCK_ROWS)
        return true;
    account->bytes_done = r->bytes_before + rows->lines.bytes_read;
    return flush(r, gap);
}

static void count_row(struct reading *r, const struct rows *rows)
{
    struct log_account *account = r->account;
    struct log_file *file = &account->files[r->file];
    if (!r->any)
        account->first_us = rows->time_us;
    if (file->rows_used++ == 0)
        file->first_us = rows->time_us;
    file->last_us = rows->time_us;
    account->last_us = rows->time_us;
    account->rows_used++;
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
        refuse_row(r, rows, refusal);
        return false;
    }
    return true;
}

/* Returns: false if a sink stopped the reading. */
static bool take_row(struct reading *r, struct rows *rows)
{
    int64_t clock_us;
    if (!settle_time(r, rows, &clock_us))
        return true;
    if (r->any && rows->time_us <= r->account->last_us) {
        bool same = rows->time_us == r->account->last_us;
        note_swap(r, rows);
        refuse_row(r, rows, same ? ROW_DUPLICATE : ROW_BACKWARD);
        return true;
    }
    if (!make_room(r, rows, rows->time_us))
        return false;
    size_t row = r->block.n++;
    r->block.time_us[row] = rows->time_us;
    for (size_t k = 0; k < r->plan->n_columns; k++) {
        r->values[k * BLOCK_ROWS + row] = rows->value_si[k];
        r->flags[k * BLOCK_ROWS + row] = rows->flag[k];
        note_first(r, rows, k);
    }
    count_row(r, rows);
    r->clock_us = clock_us;
    return true;
}

static bool hopeless(const struct reading *r)
{
    const struct log_file *file = &r->account->files[r->file];
    return file->rows_used == 0 && r->troubles.count[ROW_BAD_STAMP] >= HOPELESS_ROWS;
}

static enum row_refusal refusal_of(enum stamp_status status)
{
    return status == STAMP_SKIPPED ? ROW_SKIPPED
           : status == STAMP_UNSET ? ROW_UNSET
                                   : ROW_BAD_STAMP;
}

/* Returns: false if the reading cannot go on at all. */
static bool read_rows(struct reading *r, struct rows *rows)
{
    for (;;) {
        enum row_status status = rows_next(rows, r->faults);
        if (status == ROWS_END)
            return true;
        if (status == ROWS_FAILED)
            return false;
        r->account->rows_read++;
        r->account->files[r->file].rows_read++;
        if (status == ROWS_BAD_LINE)
            bad_line(r, rows);
        else if (status == ROWS_BAD_STAMP)
            refuse_row(r, rows, refusal_of(rows->stamp_status));
        else if (status == ROWS_HEADER_AGAIN)
            refuse_row(r, rows, ROW_HEADER_AGAIN);
        else if (!take_row(r, rows))
            return false;
        if (hopeless(r))
            return true;
    }
}

/* Ends a file: its hash, and what is to be said of its rows. */
static bool close_account(struct reading *r, struct rows *rows, const struct file_state *before)
{
    struct file_state after = file_state_open(rows->lines.fd);
    struct log_file *file = &r->account->files[r->file];
    file->bytes = rows->lines.bytes_read;
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
    bool ok = read_rows(r, &rows) && close_account(r, &rows, &r->before[index]);
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
    if (!flush(r, false))
        return false;
    struct log_place last = {r->last_file, r->last_line};
    r->input_ok =
        repeat_end(&r->repeat, r->account, last, r->plan->zone, r->faults) && r->input_ok;
    r->input_ok = timing_end(&r->timing, r->account, r->faults) && r->input_ok;
    complain_unnamed(r);
    for (size_t k = 0; k < r->plan->n_columns; k++)
        r->input_ok = complain_channel(r->plan, &r->plan->columns[k], r->account, r->first_flag[k],
                                       r->faults) &&
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

static bool read_in_order(struct reading *r, size_t *order)
{
    struct log_account *account = r->account;
    if (!allocate(r))
        return false;
    note_states(r);
    if (!survey_order(&r->form, order, r->faults) ||
        !survey_step(&r->form, order, &account->step_us, r->faults))
        return false;
    timing_init(&r->timing, &r->form, account);
    account->gap_us = r->plan->gap_us > 0 ? r->plan->gap_us : 3 * account->step_us;
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
        free(r->values);
        free(r->flags);
        free(r->before);
    }
    free(order);
    free(r);
    return ok;
}
