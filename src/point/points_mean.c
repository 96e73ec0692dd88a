#include "point/points_mean.h"

#include "base/text.h"

#include <math.h>

enum { ROWS_LEAST = 3, COLUMNS_LEAST = 3 };
#define OF_RANGE (1.0 / 500.0)
#define OF_MEAN (1.0 / 200.0)

enum sort { NOT_TOLD, NO_MEAN, ROUGHLY, A_MEAN };

/* What the row behind rows first to last - 1 is to them in one column. */
static enum sort sort_of(const struct points_rows *rows, enum channel channel, size_t first,
                         size_t last)
{
    double value = rows->origins[last].typed[channel];
    double sum = 0.0, least = INFINITY, most = -INFINITY;
    for (size_t i = first; i < last; i++) {
        double typed = rows->origins[i].typed[channel];
        sum += typed;
        least = fmin(least, typed);
        most = fmax(most, typed);
    }
    double mean = sum / (double)(last - first), off = fabs(value - mean);
    if (isnan(off))
        return NOT_TOLD;
    if (most > least && off <= OF_RANGE * (most - least))
        return A_MEAN;
    return off <= OF_MEAN * fabs(mean) ? ROUGHLY : NO_MEAN;
}

static bool is_of_means(const struct points_rows *rows, size_t first, size_t last)
{
    size_t n[A_MEAN + 1] = {0};
    for (int c = 0; c < CH_COUNT; c++)
        n[sort_of(rows, (enum channel)c, first, last)]++;
    return n[NO_MEAN] == 0 && n[A_MEAN] >= COLUMNS_LEAST;
}

bool points_mean_find(struct points_rows *rows, struct faults *faults)
{
    for (size_t first = 0, end; first < rows->n; first = end) {
        for (end = first + 1; end < rows->n; end++)
            if (!text_same(rows->origins[end].file, rows->origins[first].file))
                break;
        size_t last = end - 1;
        if (last - first < ROWS_LEAST || rows->origins[last].faulty ||
            !is_of_means(rows, first, last))
            continue;
        struct fault *fault = points_rows_blame(rows, last, true, faults);
        if (fault == NULL)
            return false;
        fault_found(fault, "its numbers are the means of the %zu rows above it: a row of means is "
                           "no point, so take it out",
                    last - first);
    }
    return true;
}
