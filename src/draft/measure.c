#include "draft/measure.h"

#include "draft/cell.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Common practice of loggers and chips, no source. 85.0 is a temperature that a collector can have.
 */
static const struct {
    double value;
    const char *who;
} known_codes[] = {
    {-127.0, "a digital thermometer that does not answer"},
    {-9999.0, "loggers, for no reading"},
    {-999.0, "loggers, for no reading"},
    {-99.99, "loggers, for no reading"},
    {-99.9, "loggers, for no reading"},
    {-6999.0, "loggers, for an open input"},
    {6999.0, "loggers, for an open input"},
    {-7999.0, "loggers, for an open input"},
    {7999.0, "loggers, for an open input"},
    {9999.0, "loggers, for no reading"},
    {-32768.0, "16-bit registers, for no reading"},
    {32767.0, "16-bit registers, for no reading"},
    {65535.0, "16-bit registers, for no reading"},
};

static const char *known_code(double value)
{
    for (size_t i = 0; i < sizeof known_codes / sizeof known_codes[0]; i++)
        if (known_codes[i].value == value)
            return known_codes[i].who;
    return NULL;
}

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a;
    double y = *(const double *)b;
    return (x > y) - (x < y);
}

static void read_cells(const struct sample *sample, size_t column, struct measure *measure,
                       double *value)
{
    for (size_t row = 0; row < sample->n_rows; row++) {
        const char *cell = sample_cell(sample, row, column);
        value[row] = NAN;
        if (cell_missing_unsaid(cell)) {
            measure->missing++;
        } else if (!sample_number(sample, row, column, &value[row])) {
            bool marked = cell_kind(cell, strlen(cell), sample->dialect.decimal) == CELL_MISSING;
            if (marked && measure->marked++ == 0)
                strncpy(measure->marker, cell, sizeof measure->marker - 1);
            if (!marked && measure->odd++ == 0)
                measure->odd_row = row;
            measure->thousands += !marked && cell_has_thousands(cell, sample->dialect.decimal);
        }
    }
}

/* Whether the value at one end of the sorted numbers stands apart: known, or repeated at least
 * three times, and further from the next value than twice the width of all the others (which are not
 * one and the same). */
static bool stands_apart(const double *sorted, size_t from, size_t to, bool low, size_t *same)
{
    double end = low ? sorted[from] : sorted[to - 1];
    size_t n = 1;
    while (n < to - from && (low ? sorted[from + n] : sorted[to - 1 - n]) == end)
        n++;
    *same = n;
    if (n == to - from)
        return known_code(end) != NULL;
    double near = low ? sorted[from + n] : sorted[to - 1 - n];
    double width = low ? sorted[to - 1] - near : near - sorted[from];
    bool far = width > 0.0 && fabs(near - end) > 2.0 * width && fabs(end) >= 99.0;
    return known_code(end) != NULL ? fabs(near - end) > 0.5 * width : far && n >= 3;
}

static void take_code(struct measure *measure, double code, size_t same, double *value, size_t rows)
{
    struct measure_code *to = &measure->code[measure->n_codes++];
    *to = (struct measure_code){.value = code, .n = same, .row = rows, .known = known_code(code)};
    for (size_t row = 0; row < rows; row++) {
        if (value[row] != code)
            continue;
        to->row = row < to->row ? row : to->row;
        value[row] = NAN;
    }
}

/* Takes the codes off both ends. Out: from, to   what is left of the sorted numbers */
static void find_codes(struct measure *measure, const double *sorted, size_t *from, size_t *to,
                       double *value, size_t rows)
{
    bool found = true;
    while (found && measure->n_codes<MEASURE_CODES && * to> * from) {
        size_t same;
        found = false;
        if (stands_apart(sorted, *from, *to, true, &same)) {
            take_code(measure, sorted[*from], same, value, rows);
            *from += same;
            found = true;
        } else if (stands_apart(sorted, *from, *to, false, &same)) {
            take_code(measure, sorted[*to - 1], same, value, rows);
            *to -= same;
            found = true;
        }
    }
}

static void look_at_values(struct measure *measure, const double *value, size_t rows)
{
    double before = NAN;
    measure->whole = measure->counts = measure->n > 0;
    for (size_t row = 0; row < rows; row++) {
        if (isnan(value[row]))
            continue;
        if (isnan(before))
            measure->first = value[row];
        measure->whole = measure->whole && value[row] == floor(value[row]);
        measure->counts = measure->counts && !(value[row] < before);
        before = value[row];
    }
    measure->counts = measure->counts && before > measure->first;
}

bool measure_column(const struct sample *sample, size_t column, struct measure *measure,
                    double *value)
{
    size_t rows = sample->n_rows;
    memset(measure, 0, sizeof *measure);
    double *sorted = malloc((rows + 1) * sizeof *sorted);
    if (sorted == NULL)
        return false;
    read_cells(sample, column, measure, value);
    size_t n = 0;
    for (size_t row = 0; row < rows; row++)
        if (!isnan(value[row]))
            sorted[n++] = value[row];
    qsort(sorted, n, sizeof *sorted, by_size);
    size_t from = 0;
    find_codes(measure, sorted, &from, &n, value, rows);
    measure->n = n - from;
    if (measure->n > 0) {
        measure->least = sorted[from];
        measure->most = sorted[n - 1];
        measure->middle = sorted[from + (n - from) / 2];
    }
    free(sorted);
    look_at_values(measure, value, rows);
    return true;
}

void measure_outside(const double *value, size_t n, const struct guess *guess,
                     struct measure *measure)
{
    measure->outside = 0;
    if (guess->kind != GUESS_CHANNEL || guess->unit == NULL)
        return;
    const struct channel_row *row = channel_row(guess->channel);
    if (guess->unit->dimension != row->dimension)
        return;
    for (size_t i = 0; i < n; i++) {
        double si = unit_absolute(guess->unit, value[i]);
        measure->outside += !isnan(value[i]) && !(si >= row->least_si && si <= row->most_si);
    }
}
