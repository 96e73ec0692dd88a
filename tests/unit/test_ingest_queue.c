/* Rows that come late: put in their places if they have one. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "ingest/queue.h"
#include "tests/unit/aid_any_log.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { STEP = 10, ROWS = 9137 };

static struct faults faults;
static struct unit raw = {.name = "", .scale = 1.0};
static struct log_column column = {.channel = CH_AMBIENT, .name = "T"};
static struct log_plan plan = {.columns = &column, .n_columns = 1};

static void begin(struct queue *queue)
{
    faults_init(&faults);
    column.unit = &raw;
    memset(queue, 0, sizeof *queue);
    assert_true(queue_init(queue, &plan, &faults));
}

static void put(struct queue *queue, size_t row, int64_t time_us)
{
    queue->rows.times_us[row] = time_us;
    queue->rows.values[row] = (double)time_us / 7.0;
    queue->rows.flags[row] = (uint8_t)(time_us % 5);
    queue->rows.marked[0] = true;
    queue->rows.place[row] = (struct row_place){0, (uint32_t)time_us};
}

/* A queue of n rows, a step apart, but for a hole where rows hole and hole + 1 would be. */
static void fill(struct queue *queue, size_t n, size_t hole)
{
    for (size_t i = 0; queue->rows.block.n < n; i++)
        if (i != hole && i != hole + 1)
            put(queue, queue->rows.block.n++, (int64_t)(STEP * (i + 1)));
}

static void a_late_row_finds_its_hole(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        size_t n, hole;
        int64_t time_us, step_us;
        bool placed;
        size_t row;
    } cases[] = {
        {"last but one", 40, 38, 390, STEP, true, 38},
        {"second of the hole", 40, 38, 400, STEP, true, 38},
        {"near the row before", 40, 20, 205, STEP, true, 20},
        {"nearer", 40, 20, 204, STEP, false, 0},
        {"near the row after", 40, 20, 225, STEP, true, 20},
        {"nearer to it", 40, 20, 226, STEP, false, 0},
        {"half-way where there is no hole", 40, 20, 105, STEP, false, 0},
        {"a stamp that is there", 40, 20, 100, STEP, false, 0},
        {"step not known", 40, 20, 210, 0, false, 0},
        {"before all", 40, 20, 5, STEP, false, 0},
        {"newer than all", 40, 20, 430, STEP, false, 0},
        {"255 rows behind", 300, 45, 460, STEP, true, 45},
        {"256 rows behind", 300, 44, 450, STEP, false, 0},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct queue queue;
        size_t row = 0;
        begin(&queue);
        fill(&queue, cases[i].n, cases[i].hole);
        bool placed = queue_late(&queue, cases[i].time_us, cases[i].step_us, &row);
        if (placed != cases[i].placed || row != cases[i].row ||
            queue.rows.block.n != cases[i].n + (placed ? 1 : 0))
            fail_msg("%s: placed %d, row %zu", cases[i].name, placed, row);
        if (placed)
            put(&queue, row, cases[i].time_us);
        for (size_t k = 1; k < queue.rows.block.n; k++) {
            int64_t time_us = queue.rows.times_us[k];
            if (time_us <= queue.rows.times_us[k - 1] ||
                queue.rows.values[k] != (double)time_us / 7.0 ||
                queue.rows.flags[k] != (uint8_t)(time_us % 5) ||
                queue.rows.place[k].line != (uint32_t)time_us)
                fail_msg("%s: row %zu is torn", cases[i].name, k);
        }
        queue_free(&queue);
    }
}

/* What came out, in order: rows, and the ends of segments. */
struct seen {
    int64_t time_us[ROWS];
    size_t n, ends, end_at[8];
};

struct way {
    struct relay relay;
    struct queue queue;
    struct log_account account;
    size_t gap_at; /* rows before it */
    size_t put;    /* rows up to now */
    struct seen *seen;
};

static bool pass(void *state, struct screen_rows *rows, bool segment_ends, struct faults *to)
{
    struct way *way = state;
    (void)to;
    return relay_pass(&way->relay, RELAY_USE, rows, segment_ends);
}

static bool see(void *state, struct screen_rows *rows, bool segment_ends, struct faults *to)
{
    struct seen *seen = ((struct way *)state)->seen;
    (void)to;
    for (size_t i = 0; i < rows->block.n; i++) {
        assert_true(rows->values[i] == (double)rows->times_us[i] / 7.0);
        seen->time_us[seen->n++] = rows->times_us[i];
    }
    if (segment_ends)
        seen->end_at[seen->ends++ % 8] = seen->n;
    rows->block.n = 0;
    return true;
}

static bool read_on(void *state, bool *over)
{
    struct way *way = state;
    struct queue *queue = &way->queue;
    bool good = true;
    for (; good && way->put < ROWS && !relay_is_due(&way->relay); way->put++) {
        if (queue->rows.block.n == BLOCK_ROWS)
            good = queue_pass(queue, &way->relay, &way->account, way->put, false) &&
                   queue->rows.block.n == QUEUE_LATE_ROWS;
        put(queue, queue->rows.block.n++,
            (int64_t)(STEP * (way->put + 1) + (way->put >= way->gap_at ? 5 * STEP : 0)));
    }
    *over = way->put == ROWS;
    return good && (!*over || queue_pass(queue, &way->relay, &way->account, ROWS, true));
}

/* Every row comes out once and in order, at least 256 rows late, cut where there is a gap. */
static void rows_come_out_in_order(void **state)
{
    (void)state;
    static relay_take *const takes[] = {[RELAY_JUDGE] = pass, [RELAY_USE] = see};
    static const size_t gap_at[] = {1, 3839, 3840, 3841, 7000};
    for (unsigned threaded = 0; threaded < 2; threaded++)
        for (size_t g = 0; g < sizeof gap_at / sizeof gap_at[0]; g++) {
            struct seen *seen = calloc(1, sizeof *seen);
            struct way way = {.seen = seen, .gap_at = gap_at[g]};
            assert_non_null(seen);
            log_account_init(&way.account);
            way.account.gap_us = 3 * STEP;
            begin(&way.queue);
            relay_init(&way.relay, read_on, takes, &way);
            assert_true(relay_run(&way.relay, &plan, threaded > 0, &faults));
            assert_int_equal(seen->n, ROWS);
            for (size_t i = 1; i < ROWS; i++)
                assert_true(seen->time_us[i] > seen->time_us[i - 1]);
            assert_int_equal(way.account.gaps, 1);
            assert_int_equal(way.account.longest.to_us - way.account.longest.from_us, 6 * STEP);
            assert_int_equal(seen->ends, 2);
            assert_int_equal(seen->end_at[0], gap_at[g]);
            assert_int_equal(seen->end_at[1], ROWS);
            queue_free(&way.queue);
            log_account_free(&way.account);
            free(seen);
        }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_late_row_finds_its_hole),
        cmocka_unit_test(rows_come_out_in_order),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
