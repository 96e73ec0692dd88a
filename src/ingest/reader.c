#include "ingest/reader.h"

#include "base/threads.h"
#include "ingest/complaint_clock.h"
#include "ingest/complaint_files.h"
#include "ingest/complaint_turn.h"
#include "ingest/reading.h"
#include "ingest/span.h"
#include "ingest/survey.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* From so many threads on one of them helps to judge and use the rows, another one reads and hashes
 * the file. A log below THREADED_BYTES is read before threads are of use. */
enum { THREADS_RELAY = 2, THREADS_AHEAD = READING_AHEAD, THREADED_BYTES = 16 << 20 };

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
    whole_init(&r->whole, plan);
    return screen_init(&r->screen, plan, r->account, r->faults);
}

/* Counts the rows that are held and passes them on. Returns: false if the reading is stopped. */
static bool pass_held(struct reading *r)
{
    struct block *block = &r->screen.held.block;
    if (block->n == 0)
        return true;
    memset(block->all_good, 0, sizeof block->all_good);
    for (size_t k = 0; k < r->plan->n_columns; k++)
        block->all_good[r->list[k]] = !r->screen.held.marked[k] ||
                                      span_good(block, &r->list[k], 1, 0, block->n);
    log_account_count(r->account, block, r->list, r->plan->n_columns);
    whole_take(&r->whole, block, r->account);
    return relay_pass(&r->relay, RELAY_USE, &r->screen.held, false);
}

/* Rows that were read become those that are held, and these are passed on; at the end of a segment
 * all are. */
static bool judge_rows(void *state, struct screen_rows *rows, bool segment_ends,
                       struct faults *faults)
{
    struct reading *r = state;
    (void)faults;
    if (rows->block.n > 0) {
        screen_take(&r->screen, rows);
        screen_judge(&r->screen);
        if (!pass_held(r))
            return false;
        screen_hold(&r->screen);
    }
    if (!segment_ends)
        return true;
    screen_settle(&r->screen);
    if (!pass_held(r))
        return false;
    screen_restart(&r->screen);
    return true;
}

static bool use_rows(void *state, struct screen_rows *rows, bool segment_ends,
                     struct faults *faults)
{
    struct reading *r = state;
    (void)segment_ends;
    unit_turn_look(&r->unit_turn, &rows->block);
    for (size_t i = 0; i < r->n_sinks; i++)
        if (!r->sinks[i].take(r->sinks[i].state, &rows->block, faults))
            return false;
    return true;
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

static void complain_unnamed(struct reading *r)
{
    char number[32];
    if (r->named <= NAMED_MAX)
        return;
    struct place at = fault_at(r->account->files[r->account->n_files - 1].path, 0, 0);
    struct fault *fault = fault_new(r->faults, FAULT_INPUT, at);
    fault_found(fault, "and %s more bad lines, not listed",
                count_text(r->named - NAMED_MAX, number));
}

static bool read_on(void *state, bool *over)
{
    struct reading *r = state;
    return reading_files(r, over) &&
           (!*over || queue_pass(&r->queue, &r->relay, r->account, r->bytes_before, true));
}

static bool read_all(struct reading *r)
{
    static relay_take *const take[] = {[RELAY_JUDGE] = judge_rows, [RELAY_USE] = use_rows};
    relay_init(&r->relay, read_on, take, r);
    if (!relay_run(&r->relay, r->plan, r->threads >= THREADS_RELAY, r->faults))
        return false;
    for (size_t k = 0; k < r->plan->n_columns; k++) {
        note_screened(r, k);
        screen_still(&r->screen, k, &r->account->channels[r->list[k]].still);
    }
    whole_tell(&r->whole, r->account);
    struct log_place last = {r->last_file, r->last_line};
    r->input_ok =
        repeat_end(&r->repeat, r->account, last, r->plan->zone, r->faults) && r->input_ok;
    r->input_ok = timing_end(&r->timing, r->account, r->faults) && r->input_ok;
    r->input_ok =
        complain_turn(r->plan, r->account, &r->unit_turn, r->faults) && r->input_ok;
    note_merged(r->account, r->faults);
    complain_late(r->account, r->faults);
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

static bool read_in_order(struct reading *r, struct turns_file *order)
{
    struct log_account *account = r->account;
    struct steps steps;
    if (!allocate(r) || !queue_init(&r->queue, r->plan, r->faults))
        return false;
    note_states(r);
    if (!survey_order(&r->form, order, r->faults) ||
        !survey_step(&r->form, order, &account->step_us, &steps, r->faults))
        return false;
    screen_know_steps(&r->screen, &steps);
    timing_init(&r->timing, &r->form, account);
    account->gap_us = r->plan->gap_us > 0 ? r->plan->gap_us : 3 * account->step_us;
    r->threads = choose_threads(r);
    turns_begin(&r->turns, &r->form, order, r->plan->n_files);
    return read_all(r);
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
    struct turns_file *order = calloc(plan->n_files, sizeof *order);
    bool ok = (r != NULL && order != NULL) || fault_memory(faults);
    if (ok) {
        r->plan = plan;
        r->sinks = sinks;
        r->n_sinks = n;
        r->account = account;
        r->faults = faults;
        r->input_ok = true;
        ok = row_form_init(&r->form, plan, faults) && read_in_order(r, order);
        reading_close(r);
        screen_free(&r->screen);
        queue_free(&r->queue);
        free(r->before);
    }
    free(order);
    free(r);
    return ok;
}
