#include "ingest/queue.h"

bool queue_init(struct queue *queue, const struct log_plan *plan, struct faults *faults)
{
    bool all = screen_rows_init(&queue->rows, plan) && screen_rows_init(&queue->lot, plan);
    return all || fault_memory(faults);
}

void queue_free(struct queue *queue)
{
    screen_rows_free(&queue->rows);
    screen_rows_free(&queue->lot);
}

bool queue_late(struct queue *queue, int64_t time_us, int64_t step_us, size_t *row)
{
    struct screen_rows *rows = &queue->rows;
    const int64_t *times = rows->times_us;
    size_t n = rows->block.n, at = n;
    while (at > 0 && n - at < QUEUE_LATE_ROWS && times[at - 1] > time_us)
        at--;
    if (at == 0 || at == n || n - at == QUEUE_LATE_ROWS)
        return false;
    int64_t before_us = time_us - times[at - 1], after_us = times[at] - time_us;
    if (step_us == 0 || 2 * before_us < step_us || 2 * after_us < step_us ||
        2 * (before_us + after_us) < 3 * step_us)
        return false;
    screen_rows_move(rows, at + 1, rows, at, n - at);
    rows->block.n++;
    *row = at;
    return true;
}

bool queue_find(const struct queue *queue, int64_t time_us, size_t *row)
{
    const int64_t *times = queue->rows.times_us;
    size_t first = 0, end = queue->rows.block.n;
    while (first < end) {
        size_t middle = first + (end - first) / 2;
        if (times[middle] < time_us)
            first = middle + 1;
        else
            end = middle;
    }
    *row = first;
    return first < queue->rows.block.n && times[first] == time_us;
}

static void note_gap(struct log_account *account, int64_t from_us, int64_t to_us)
{
    struct log_gap gap = {.from_us = from_us, .to_us = to_us};
    account->gaps++;
    if (gap.to_us - gap.from_us > account->longest.to_us - account->longest.from_us)
        account->longest = gap;
    if (account->n_first_gaps < LOG_GAPS_KEPT)
        account->first_gaps[account->n_first_gaps++] = gap;
}

/* The end of the segment that begins with row `first`, at most `end`. */
static size_t segment_end(const struct queue *queue, const struct log_account *account,
                          size_t first, size_t end)
{
    const int64_t *times = queue->rows.times_us;
    size_t i = first + 1;
    if (account->gap_us == 0)
        return end;
    while (i < end && times[i] - times[i - 1] <= account->gap_us)
        i++;
    return i;
}

/* The rows that begin the queue change hands; the rest, copied, begins it then. */
static void hand_over(struct queue *queue, size_t n)
{
    size_t rest = queue->rows.block.n - n;
    screen_rows_clear(&queue->lot);
    screen_rows_move(&queue->lot, 0, &queue->rows, n, rest);
    screen_rows_exchange(&queue->lot, &queue->rows);
    queue->rows.block.n = rest;
    queue->lot.block.n = n;
}

/* Rows first to end, of many pieces. */
static void copy_out(struct queue *queue, size_t first, size_t end)
{
    screen_rows_clear(&queue->lot);
    screen_rows_move(&queue->lot, 0, &queue->rows, first, end - first);
    queue->lot.block.n = end - first;
}

bool queue_pass(struct queue *queue, struct relay *relay, struct log_account *account,
                uint64_t bytes_done, bool all)
{
    struct screen_rows *rows = &queue->rows;
    const size_t n = rows->block.n;
    const size_t settled = all ? n : n > QUEUE_LATE_ROWS ? n - QUEUE_LATE_ROWS : 0;
    if (settled > 0) {
        queue->passed = true;
        queue->passed_us = rows->times_us[settled - 1];
    }
    for (size_t first = 0, end; first < settled; first = end) {
        end = segment_end(queue, account, first, n);
        bool gap = end < n && end <= settled;
        end = end < settled ? end : settled;
        if (gap)
            note_gap(account, rows->times_us[end - 1], rows->times_us[end]);
        bool whole = first == 0 && end == settled;
        if (whole)
            hand_over(queue, end);
        else
            copy_out(queue, first, end);
        queue->lot.block.bytes_done = bytes_done;
        if (!relay_pass(relay, RELAY_JUDGE, &queue->lot, gap || end == n))
            return false;
        if (whole)
            return true;
    }
    screen_rows_move(rows, 0, rows, settled, n - settled);
    rows->block.n = n - settled;
    return true;
}
