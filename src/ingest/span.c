#include "ingest/span.h"

#include <string.h>

enum { LANES = 4 };

bool span_good(const struct block *block, const enum channel *list, size_t n, size_t first,
               size_t end)
{
    _Static_assert(FLAG_GOOD == 0, "flags are joined by 'or'");
    unsigned bad = 0;
    for (size_t k = 0; k < n; k++) {
        const uint8_t *flag = block->flag[list[k]];
        for (size_t i = first; i < end; i++)
            bad |= flag[i];
    }
    return bad == 0;
}

static void take(struct span_tally *tally, double value)
{
    tally->sum += value;
    tally->least = value < tally->least ? value : tally->least;
    tally->most = value > tally->most ? value : tally->most;
}

static void take_four(const double *const value[LANES], size_t first, size_t end,
                      struct span_tally *tally)
{
    struct span_tally a = tally[0], b = tally[1], c = tally[2], d = tally[3];
    for (size_t i = first; i < end; i++) {
        take(&a, value[0][i]);
        take(&b, value[1][i]);
        take(&c, value[2][i]);
        take(&d, value[3][i]);
    }
    tally[0] = a;
    tally[1] = b;
    tally[2] = c;
    tally[3] = d;
}

void span_tally(const struct block *block, const enum channel *list, size_t n, size_t first,
                size_t end, struct span_tally *tally)
{
    size_t k = 0;
    for (; k + LANES <= n; k += LANES) {
        const double *value[LANES];
        for (size_t lane = 0; lane < LANES; lane++)
            value[lane] = block->value[list[k + lane]];
        take_four(value, first, end, tally + k);
    }
    for (; k < n; k++) {
        struct span_tally own = tally[k];
        const double *value = block->value[list[k]];
        for (size_t i = first; i < end; i++)
            take(&own, value[i]);
        tally[k] = own;
    }
}

size_t span_end(const struct block *block, size_t first, int64_t end_us)
{
    size_t end = first;
    while (end < block->n && block->time_us[end] < end_us)
        end++;
    return end;
}
