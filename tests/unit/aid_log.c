#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "aid_log.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static void *room(size_t n, size_t size)
{
    void *memory = calloc(n, size);
    assert_non_null(memory);
    return memory;
}

void aid_log_init(struct aid_log *log, size_t n, int64_t start_us, int64_t step_us)
{
    memset(log, 0, sizeof *log);
    log->n = n;
    log->time_us = room(n, sizeof *log->time_us);
    log->gap = room(n, sizeof *log->gap);
    log->gap[0] = true;
    for (size_t i = 0; i < n; i++)
        log->time_us[i] = start_us + (int64_t)i * step_us;
    for (int c = 0; c < CH_COUNT; c++) {
        log->value[c] = room(n, sizeof *log->value[c]);
        log->flag[c] = room(n, 1);
    }
    for (int c = CH_IRRADIANCE; c <= CH_FLOW; c++)
        log->present[c] = true;
}

void aid_log_free(struct aid_log *log)
{
    free(log->time_us);
    free(log->gap);
    for (int c = 0; c < CH_COUNT; c++) {
        free(log->value[c]);
        free(log->flag[c]);
    }
    memset(log, 0, sizeof *log);
}

void aid_log_set(struct aid_log *log, enum channel channel, double value)
{
    log->present[channel] = true;
    for (size_t i = 0; i < log->n; i++)
        log->value[channel][i] = value;
}

void aid_log_remove(struct aid_log *log, size_t first, size_t n)
{
    size_t rest = log->n - first - n;
    memmove(&log->time_us[first], &log->time_us[first + n], rest * sizeof *log->time_us);
    memmove(&log->gap[first], &log->gap[first + n], rest * sizeof *log->gap);
    for (int c = 0; c < CH_COUNT; c++) {
        memmove(&log->value[c][first], &log->value[c][first + n], rest * sizeof *log->value[c]);
        memmove(&log->flag[c][first], &log->flag[c][first + n], rest);
    }
    log->n -= n;
}

double aid_uniform(uint32_t *state)
{
    *state = *state * UINT32_C(1664525) + UINT32_C(1013904223);
    return (double)(*state >> 8) / 16777216.0;
}

double aid_normal(uint32_t *state)
{
    double sum = -6.0;
    for (int i = 0; i < 12; i++)
        sum += aid_uniform(state);
    return sum;
}

/* Rows first to end - 1 as a block; arrays are borrowed, values of bad readings are NaN. */
static void fill_block(const struct aid_log *log, size_t first, size_t end, struct block *block)
{
    block->n = end - first;
    block->gap_before = log->gap[first];
    block->time_us = &log->time_us[first];
    memcpy(block->present, log->present, sizeof block->present);
    for (int c = 0; c < CH_COUNT; c++) {
        block->value[c] = log->present[c] ? &log->value[c][first] : NULL;
        block->flag[c] = log->present[c] ? &log->flag[c][first] : NULL;
    }
}

void aid_log_feed(const struct aid_log *log, struct sink sink, size_t most_rows, uint32_t cut)
{
    struct faults *faults = room(1, sizeof *faults);
    struct block *block = room(1, sizeof *block);
    faults_init(faults);
    for (size_t first = 0, end; first < log->n; first = end) {
        size_t length = 1 + (size_t)(aid_uniform(&cut) * (double)most_rows);
        end = first + (length > BLOCK_ROWS ? BLOCK_ROWS : length);
        end = end > log->n ? log->n : end;
        for (size_t i = first + 1; i < end; i++)
            if (log->gap[i])
                end = i; /* a block holds no gap */
        fill_block(log, first, end, block);
        assert_true(sink.take(sink.state, block, faults));
    }
    assert_true(sink.finish == NULL || sink.finish(sink.state, faults));
    assert_false(faults_any(faults));
    free(block);
    free(faults);
}
