#include "ingest/ceiling.h"

#include <math.h>
#include <string.h>

#define BIN_W_M2 0.25
#define BRIGHT_W_M2 400.0

enum { DENSE_ROWS = 16384, SPARSE = 16, BRIGHT_LEAST = 100 };

/* Moves all bins down, for a reading that is higher by so many. */
static void raise_top(struct ceiling *ceiling, int64_t by)
{
    size_t shift = by < CEILING_BINS ? (size_t)by : CEILING_BINS;
    memmove(ceiling->bin + shift, ceiling->bin, (CEILING_BINS - shift) * sizeof ceiling->bin[0]);
    memset(ceiling->bin, 0, shift * sizeof ceiling->bin[0]);
    ceiling->top += by;
}

void ceiling_take(struct ceiling *ceiling, const double *value_W_m2, size_t n)
{
    /* By the row's number, not by its place in the block: how a log is cut changes nothing. */
    size_t stride, phase = (size_t)(ceiling->rows % SPARSE);
    size_t first = ceiling->rows < DENSE_ROWS ? 0 : (SPARSE - phase) % SPARSE;
    for (size_t i = first; i < n; i += stride) {
        stride = ceiling->rows + i < DENSE_ROWS ? 1 : SPARSE;
        if (!(value_W_m2[i] >= BRIGHT_W_M2))
            continue;
        int64_t bin = (int64_t)floor(value_W_m2[i] / BIN_W_M2);
        if (bin > ceiling->top)
            raise_top(ceiling, bin - ceiling->top);
        ceiling->bright += stride;
        if (ceiling->top - bin < CEILING_BINS)
            ceiling->bin[ceiling->top - bin] += stride;
    }
    ceiling->rows += n;
}

/* A way to look: how many cells are the pile, how much of the bright readings must lie below it,
 * and in how many cells. */
struct look {
    size_t cells;
    double below_share;
    size_t below_cells;
};

static bool piled(const uint64_t cell[CEILING_CELLS], uint64_t bright, const struct look *look,
                  uint64_t *pile)
{
    uint64_t next = 0;
    size_t held = 0;
    *pile = 0;
    for (size_t k = 0; k < look->cells; k++) {
        *pile += cell[k];
        next += cell[look->cells + k];
    }
    for (size_t k = look->cells; k < look->cells + 16; k++)
        held += cell[k] > 0;
    return 10 * *pile >= bright && *pile >= 8 * next && held >= look->below_cells &&
           (double)(bright - *pile) >= look->below_share * (double)bright;
}

bool ceiling_found(const struct ceiling *ceiling, double *least_W_m2, double *share)
{
    static const struct look looks[] = {{1, 0.05, 5}, {2, 0.15, 12}};
    uint64_t cell[CEILING_CELLS] = {0};
    uint64_t pile;
    if (ceiling->bright < BRIGHT_LEAST)
        return false;
    for (size_t i = 0; i < CEILING_BINS; i++)
        cell[i / CEILING_CELL] += ceiling->bin[i];
    for (size_t i = 0; i < sizeof looks / sizeof looks[0]; i++) {
        if (!piled(cell, ceiling->bright, &looks[i], &pile))
            continue;
        int64_t lowest = ceiling->top + 1 - (int64_t)(looks[i].cells * CEILING_CELL);
        *least_W_m2 = BIN_W_M2 * (double)lowest;
        *share = (double)pile / (double)ceiling->bright;
        return true;
    }
    return false;
}
