#include "ingest/span.h"

#include "base/pair.h"
#include "ingest/span_wide.h"

#include <assert.h>
#include <stdint.h>
#include <string.h>

enum { LANES = 2 * SPAN_WIDE, LANES_MOST = SPAN_FOURS_MOST * SPAN_WIDE };

/* Whether n flags are all FLAG_GOOD: eight at a time. */
static bool all_good(const uint8_t *flag, size_t n)
{
    _Static_assert(FLAG_GOOD == 0, "flags are joined by 'or'");
    uint64_t bad = 0, eight;
    size_t i = 0;
    for (; i + sizeof eight <= n; i += sizeof eight) {
        memcpy(&eight, flag + i, sizeof eight);
        bad |= eight;
    }
    for (; i < n; i++)
        bad |= flag[i];
    return bad == 0;
}

bool span_good(const struct block *block, const enum channel *list, size_t n, size_t first,
               size_t end)
{
    for (size_t k = 0; k < n; k++)
        if (!block->all_good[list[k]] && !all_good(block->flag[list[k]] + first, end - first))
            return false;
    return true;
}

/* Eight or twelve channels, two rows at a time: a pair of channels of a row is added at once. */
static void sum_lanes(const double *const *value, size_t lanes, size_t first, size_t end,
                      double *sum)
{
    pair total[LANES_MOST / 2];
    size_t i = span_sum_wide(value, lanes / SPAN_WIDE, first, end, sum);
    for (size_t k = 0; k < lanes / 2; k++)
        total[k] = pair_load(sum + 2 * k);
    for (; i + 2 <= end; i += 2)
        for (size_t k = 0; k < lanes / 2; k++) {
            pair a = pair_load(value[2 * k] + i), b = pair_load(value[2 * k + 1] + i);
            total[k] = pair_add(pair_add(total[k], pair_lows(a, b)), pair_highs(a, b));
        }
    for (size_t k = 0; k < lanes / 2; k++)
        pair_store(total[k], sum + 2 * k);
    for (size_t k = 0; i < end && k < lanes; k++)
        sum[k] += value[k][i];
}

/* Of n channels still to come. */
static size_t group_of(size_t n)
{
    return n > LANES ? LANES_MOST : LANES;
}

void span_columns_of(const struct block *block, const enum channel *list, size_t n,
                     struct span_columns *columns)
{
    columns->lanes = 0;
    while (columns->lanes < n)
        columns->lanes += group_of(n - columns->lanes);
    assert(columns->lanes <= SPAN_COLUMNS_MOST);
    /* Lanes without a channel add up the last one, unread. */
    for (size_t k = 0; k < columns->lanes; k++)
        columns->value[k] = block->value[list[k < n ? k : n - 1]];
}

void span_sum(const struct span_columns *columns, size_t first, size_t end, double *sum)
{
    for (size_t k = 0, lanes; k < columns->lanes; k += lanes) {
        lanes = group_of(columns->lanes - k);
        sum_lanes(columns->value + k, lanes, first, end, sum + k);
    }
}

/* Several chains at once: each comparison waits for the one before it in its chain. */
void span_range(const double *value, size_t n, struct span_tally *tally)
{
    enum { CHAINS = 4 };
    pair least[CHAINS], most[CHAINS];
    size_t i = span_range_wide(value, n, tally);
    for (size_t k = 0; k < CHAINS; k++) {
        least[k] = pair_of(tally->least, tally->least);
        most[k] = pair_of(tally->most, tally->most);
    }
    for (; i + 2 * CHAINS <= n; i += 2 * CHAINS)
        for (size_t k = 0; k < CHAINS; k++) {
            pair a = pair_load(value + i + 2 * k);
            least[k] = pair_least(a, least[k]);
            most[k] = pair_most(a, most[k]);
        }
    for (size_t k = 0; i < n; i++, k = (k + 1) % CHAINS) {
        least[k] = pair_least(pair_of(value[i], value[i]), least[k]);
        most[k] = pair_most(pair_of(value[i], value[i]), most[k]);
    }
    for (size_t k = 1; k < CHAINS; k++) {
        least[0] = pair_least(least[k], least[0]);
        most[0] = pair_most(most[k], most[0]);
    }
    tally->least = pair_low(pair_least(least[0], pair_highs(least[0], least[0])));
    tally->most = pair_low(pair_most(most[0], pair_highs(most[0], most[0])));
}

void span_tally(const struct block *block, const enum channel *list, size_t n, size_t first,
                size_t end, struct span_tally *tally)
{
    struct span_columns columns;
    double sum[SPAN_COLUMNS_MOST] = {0.0};
    for (size_t k = 0; k < n; k++)
        sum[k] = tally[k].sum;
    span_columns_of(block, list, n, &columns);
    span_sum(&columns, first, end, sum);
    for (size_t k = 0; k < n; k++) {
        tally[k].sum = sum[k];
        span_range(block->value[list[k]] + first, end - first, &tally[k]);
    }
}

size_t span_end(const struct block *block, size_t first, int64_t end_us)
{
    const int64_t *time_us = block->time_us;
    size_t end = first;
    if (first + 1 < block->n && time_us[first] < end_us) {
        /* Where steps are equal the end is the one that this step leads to. */
        int64_t step_us = time_us[first + 1] - time_us[first];
        uint64_t ahead = (uint64_t)(end_us - 1 - time_us[first]) / (uint64_t)step_us;
        size_t guess = ahead < block->n - first ? first + (size_t)ahead : block->n - 1;
        if (time_us[guess] < end_us)
            end = guess + 1;
    }
    while (end < block->n && time_us[end] < end_us)
        end++;
    return end;
}
