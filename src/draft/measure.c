#include "draft/measure.h"

#include "base/numbers.h"

#include <string.h>

/* As the log's reader takes it when the description names no markers. */
static bool is_missing(const char *cell)
{
    return cell[0] == '\0' || text_same_nocase(cell, "NAN") || text_same_nocase(cell, "NA");
}

static bool is_outside(const struct guess *guess, double value)
{
    if (guess->kind != GUESS_CHANNEL || guess->unit == NULL)
        return false;
    const struct channel_row *row = channel_row(guess->channel);
    double si = unit_absolute(guess->unit, value);
    return !(si >= row->least_si && si <= row->most_si);
}

static void add(struct measure *measure, double value)
{
    if (measure->n++ == 0)
        measure->first = measure->least = measure->most = value;
    measure->least = value < measure->least ? value : measure->least;
    measure->most = value > measure->most ? value : measure->most;
}

void measure_column(const struct sample *sample, size_t column, const struct guess *guess,
                    struct measure *measure)
{
    memset(measure, 0, sizeof *measure);
    for (size_t row = 0; row < sample->n_rows; row++) {
        const char *cell = sample_cell(sample, row, column);
        double value;
        if (is_missing(cell)) {
            measure->missing++;
        } else if (number_read(cell, strlen(cell), '.', &value)) {
            measure->outside += is_outside(guess, value);
            add(measure, value);
        } else if (measure->odd++ == 0) {
            measure->odd_row = row;
        }
    }
}
