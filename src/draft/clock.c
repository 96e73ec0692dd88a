#include "draft/clock.h"

#include "draft/cell.h"
#include "ingest/stamp.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { NO_TWIN = -1, ISO = -1, LOOK_AT = 20 };

/* Forms of a date; the twin reads day and month the other way round. With points the day comes
 * first wherever points are used. A year in front is followed by the month. */
static const struct {
    const char *pattern;
    int twin;
} dates[] = {
    {"%d/%m/%Y", 1},       {"%m/%d/%Y", 0},       {"%d-%m-%Y", 3},       {"%m-%d-%Y", 2},
    {"%d/%m/%y", 5},       {"%m/%d/%y", 4},       {"%d-%m-%y", 7},       {"%m-%d-%y", 6},
    {"%d.%m.%Y", NO_TWIN}, {"%d.%m.%y", NO_TWIN}, {"%Y/%m/%d", NO_TWIN}, {"%Y.%m.%d", NO_TWIN},
    {"%d-%b-%Y", NO_TWIN}, {"%d-%b-%y", NO_TWIN}, {"%d %b %Y", NO_TWIN},
};
static const char *const hours[] = {"%H:%M:%S", "%H:%M", "%I:%M:%S %p", "%I:%M %p"};
enum { DATES = sizeof dates / sizeof dates[0], HOURS = sizeof hours / sizeof hours[0] };

bool clock_uses(const struct clock *clock, size_t column)
{
    for (size_t i = 0; clock->found && i < clock->n_columns; i++)
        if (clock->column[i] == column)
            return true;
    return false;
}

/* What most of a column's first filled cells look like. */
static enum cell_kind look_at(const struct sample *sample, size_t column)
{
    size_t seen[CELL_TEXT + 1] = {0};
    size_t filled = 0;
    for (size_t row = 0; row < sample->n_rows && filled < LOOK_AT; row++) {
        const char *cell = sample_cell(sample, row, column);
        if (cell[0] == '\0')
            continue;
        filled++;
        seen[cell_kind(cell, strlen(cell), sample->dialect.decimal)]++;
    }
    for (int kind = CELL_DATE; kind <= CELL_STAMP; kind++)
        if (2 * seen[kind] > filled)
            return (enum cell_kind)kind;
    return CELL_TEXT;
}

/* The first column of that look which a description can name; else the first at all. */
static size_t find_look(const struct sample *sample, enum cell_kind look)
{
    size_t first = sample->head.n;
    for (size_t i = 0; i < sample->head.n; i++) {
        if (look_at(sample, i) != look)
            continue;
        if (sample_name_trouble(sample, i, true) == NULL)
            return i;
        if (first == sample->head.n)
            first = i;
    }
    return first;
}

static bool find_columns(const struct sample *sample, struct clock *clock)
{
    size_t none = sample->head.n;
    clock->n_columns = 1;
    clock->column[0] = find_look(sample, CELL_STAMP);
    if (clock->column[0] != none)
        return true;
    clock->n_columns = 2;
    clock->column[0] = find_look(sample, CELL_DATE);
    clock->column[1] = find_look(sample, CELL_HOUR);
    return clock->column[0] != none && clock->column[1] != none;
}

/* The stamp of a row, as the log's reader joins it. Returns: false if the row has none. */
static bool stamp_text(const struct sample *sample, const struct clock *clock, size_t row,
                       char out[STAMP_BYTES_MAX * 2 + 2])
{
    const char *first = sample_cell(sample, row, clock->column[0]);
    if (clock->n_columns == 1)
        strcpy(out, first);
    else
        snprintf(out, STAMP_BYTES_MAX * 2 + 2, "%s %s", first,
                 sample_cell(sample, row, clock->column[1]));
    return out[0] != '\0' && !text_same(out, " ");
}

static bool read_row(const struct sample *sample, const struct clock *clock, size_t row,
                     const struct stamp_format *format, int64_t *time_us)
{
    char text[STAMP_BYTES_MAX * 2 + 2];
    return stamp_text(sample, clock, row, text) &&
           stamp_read(format, text, strlen(text), time_us) == STAMP_GOOD;
}

/* Reads every row's stamp into time_us. Returns: how many could be read. */
static size_t read_rows(const struct sample *sample, const struct clock *clock,
                        const struct stamp_format *format, int64_t *time_us)
{
    size_t n = 0;
    for (size_t row = 0; row < sample->n_rows; row++) {
        time_us[row] = CLOCK_NONE;
        n += read_row(sample, clock, row, format, &time_us[row]);
    }
    return n;
}

static void format_text(int date, size_t hour, char out[CLOCK_FORMAT_SIZE])
{
    if (date == ISO)
        strcpy(out, "ISO 8601");
    else
        snprintf(out, CLOCK_FORMAT_SIZE, "%s %s", dates[date].pattern, hours[hour]);
}

/* Compiles one of our own forms; that it compiles is ours to know. */
static bool compile(int date, size_t hour, bool in_stamp, struct stamp_format *format,
                    struct faults *faults)
{
    char text[CLOCK_FORMAT_SIZE];
    format_text(date, hour, text);
    return stamp_compile(text, in_stamp, NULL, fault_at(NULL, 0, 0), format, faults);
}

/* The form that is best so far. */
struct best_form {
    int date; /* DATES: none */
    size_t hour;
};

/* One try: the better form is kept, of equals the one tried first. `time_us` is room to read. */
static bool try_form(const struct sample *sample, struct clock *clock, int date, size_t hour,
                     bool in_stamp, int64_t *time_us, struct best_form *best, struct faults *faults)
{
    struct stamp_format format;
    if (!compile(date, hour, in_stamp, &format, faults))
        return false;
    size_t n = read_rows(sample, clock, &format, time_us);
    if (n <= clock->n_read)
        return true;
    *best = (struct best_form){date, hour};
    clock->n_read = n;
    clock->in_stamp = in_stamp;
    return true;
}

static bool find_format(const struct sample *sample, struct clock *clock, struct best_form *best,
                        struct faults *faults)
{
    int64_t *room = clock->time_us;
    if (!try_form(sample, clock, ISO, 0, true, room, best, faults) ||
        !try_form(sample, clock, ISO, 0, false, room, best, faults))
        return false;
    for (int date = 0; date < DATES; date++)
        for (size_t hour = 0; hour < HOURS; hour++)
            if (!try_form(sample, clock, date, hour, false, room, best, faults))
                return false;
    return true;
}

/* Runs of one log must also follow each other. */
static size_t count_leaps(const struct sample *sample, const int64_t *time_us,
                          const struct clock_run *run)
{
    size_t n = run->n_leaps;
    size_t before = SIZE_MAX;
    for (size_t row = 0; row < sample->n_rows; row++) {
        if (time_us[row] == CLOCK_NONE)
            continue;
        if (before != SIZE_MAX && sample->row[row].log == sample->row[before].log &&
            sample->row[row].run != sample->row[before].run)
            n += time_us[row] < time_us[before];
        before = row;
    }
    return n;
}

/* The form with day and month swapped, when it reads as many rows: which of the two makes the rows
 * run on? Out: clock->format, other, settled, run, time_us. */
static bool settle_day(const struct sample *sample, struct clock *clock, struct best_form best,
                       struct faults *faults)
{
    struct stamp_format format;
    struct clock_run run;
    int twin = dates[best.date].twin;
    clock->settled = "a number above 12 stands where the day is";
    if (!compile(twin, best.hour, false, &format, faults))
        return false;
    int64_t *swapped = malloc((sample->n_rows + 1) * sizeof *swapped);
    if (swapped == NULL)
        return fault_memory(faults);
    bool as_good = read_rows(sample, clock, &format, swapped) == clock->n_read;
    bool good = !as_good || clock_run_look(sample, swapped, &run) || fault_memory(faults);
    if (good && as_good) {
        size_t leaps = count_leaps(sample, clock->time_us, &clock->run);
        size_t other = count_leaps(sample, swapped, &run);
        clock->settled = NULL;
        if (leaps != other)
            clock->settled = "read the other way round the rows would jump by months";
        else
            format_text(twin, best.hour, clock->other);
        if (other < leaps) {
            format_text(twin, best.hour, clock->format);
            memcpy(clock->time_us, swapped, sample->n_rows * sizeof *swapped);
            clock->run = run;
        }
    }
    free(swapped);
    return good;
}

static void find_ends(const struct sample *sample, struct clock *clock)
{
    bool first = true;
    for (size_t row = 0; row < sample->n_rows; row++) {
        if (clock->time_us[row] == CLOCK_NONE)
            continue;
        if (first)
            clock->first_us = clock->time_us[row];
        first = false;
        clock->last_us = clock->time_us[row];
    }
}

static bool use_format(const struct sample *sample, struct clock *clock, struct best_form best,
                       struct faults *faults)
{
    struct stamp_format format;
    format_text(best.date, best.hour, clock->format);
    if (!compile(best.date, best.hour, clock->in_stamp, &format, faults))
        return false;
    read_rows(sample, clock, &format, clock->time_us);
    if (!clock_run_look(sample, clock->time_us, &clock->run))
        return fault_memory(faults);
    if (best.date != ISO && dates[best.date].twin != NO_TWIN &&
        !settle_day(sample, clock, best, faults))
        return false;
    find_ends(sample, clock);
    return true;
}

void clock_free(struct clock *clock)
{
    free(clock->time_us);
    memset(clock, 0, sizeof *clock);
}

bool clock_find(const struct sample *sample, struct clock *clock, struct faults *faults)
{
    char text[STAMP_BYTES_MAX * 2 + 2];
    struct best_form best = {ISO, 0};
    memset(clock, 0, sizeof *clock);
    clock->time_us = malloc((sample->n_rows + 1) * sizeof *clock->time_us);
    if (clock->time_us == NULL)
        return fault_memory(faults);
    for (size_t row = 0; row < sample->n_rows; row++)
        clock->time_us[row] = CLOCK_NONE;
    if (find_columns(sample, clock)) {
        if (!find_format(sample, clock, &best, faults))
            return false;
        for (size_t row = 0; row < sample->n_rows; row++)
            clock->n_stamps += stamp_text(sample, clock, row, text);
        clock->found = 2 * clock->n_read > clock->n_stamps;
    }
    if (clock->found)
        return use_format(sample, clock, best, faults);
    clock->n_stamps = clock->n_read = 0;
    clock->n_columns = 0;
    if (!clock_count_find(sample, clock, faults))
        return false;
    find_ends(sample, clock);
    return clock_run_look(sample, clock->time_us, &clock->run) || fault_memory(faults);
}
