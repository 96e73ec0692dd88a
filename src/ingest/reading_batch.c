#include "ingest/reading.h"

/* What a row without a stamp, a count or a repeated hour asks for is done row by row. */
static bool is_plain(const struct reading *r)
{
    const struct reading_file *now = r->now;
    return r->account->files[now->file].rows_used > 0 && now->pending.n == 0 &&
           !now->pending.over && !now->lost && !r->lost && !reading_has_strays_ahead(now) &&
           !r->timing.counts && !r->timing.moves && !r->repeat.open;
}

static void count_rows(struct reading *r, size_t taken, int64_t last_us, long last_line)
{
    struct log_account *account = r->account;
    struct log_file *file = &account->files[r->now->file];
    account->rows_read += taken;
    account->rows_used += taken;
    file->rows_read += taken;
    file->rows_used += taken;
    account->last_us = file->last_us = r->clock_us = last_us;
    r->last_file = r->now->file;
    r->now->last_us = last_us;
    r->now->last_line = last_line;
    r->last_line = last_line;
}

/* A row is a line here, one after the other. */
static void put_places(struct row_place *to, struct row_place from, size_t n)
{
    size_t countable = UINT32_MAX - from.line;
    size_t n_told = n < countable ? n : countable;
    for (size_t i = 0; i < n_told; i++)
        to[i] = (struct row_place){from.file, from.line + (uint32_t)i};
    for (size_t i = n_told; i < n; i++)
        to[i] = (struct row_place){from.file, UINT32_MAX};
}

void reading_take_batch(struct reading *r, int64_t limit_us)
{
    struct rows *rows = &r->now->rows;
    struct screen_rows *fresh = &r->queue.rows;
    size_t first = fresh->block.n;
    if (!is_plain(r))
        return;
    struct batch_target target = {.time_us = fresh->block.time_us + first,
                                  .room = BLOCK_ROWS - first,
                                  .last_us = r->account->last_us,
                                  .gap_us = r->account->gap_us > 0 ? r->account->gap_us
                                                                   : INT64_MAX,
                                  .limit_us = limit_us};
    for (size_t k = 0; k < r->plan->n_columns; k++)
        target.value[k] = fresh->values + k * SCREEN_STRIDE + first;
    size_t taken = batch_take(&r->now->batch, rows, &target);
    if (taken == 0)
        return;
    for (size_t k = 0; k < r->plan->n_columns; k++)
        screen_rows_good(fresh, k, first, taken);
    long first_line = rows->lines.number - (long)(taken - 1);
    put_places(fresh->place + first, reading_place(r->now->file, first_line), taken);
    fresh->block.n += taken;
    reading_note_turn(r, first_line);
    count_rows(r, taken, target.last_us, rows->lines.number);
}
