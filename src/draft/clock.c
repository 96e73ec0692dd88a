#include "draft/clock.h"

#include "base/numbers.h"
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

static size_t digits(const char *at)
{
    return strspn(at, "0123456789");
}

/* Three numbers with the same sign between them. */
static bool looks_like_date(const char *cell)
{
    size_t n = digits(cell);
    const char sign = cell[n];
    if (n == 0 || n > 4 || sign == '\0' || strchr("/.-", sign) == NULL)
        return false;
    const char *month = cell + n + 1;
    size_t m = digits(month);
    return m >= 1 && m <= 2 && month[m] == sign && digits(month + m + 1) >= 1;
}

/* Hours and minutes, at the start or after a date. */
static bool has_hour(const char *cell)
{
    const char *colon = strchr(cell, ':');
    return colon != NULL && colon > cell && digits(colon - 1) == 1 && digits(colon + 1) >= 2;
}

enum look { LOOK_OTHER, LOOK_DATE, LOOK_HOUR, LOOK_WHOLE };

static enum look look_at_cell(const char *cell)
{
    if (looks_like_date(cell))
        return has_hour(cell) ? LOOK_WHOLE : LOOK_DATE;
    return has_hour(cell) && digits(cell) >= 1 ? LOOK_HOUR : LOOK_OTHER;
}

/* What most of a column's first filled cells look like. */
static enum look look_at(const struct sample *sample, size_t column)
{
    size_t seen[LOOK_WHOLE + 1] = {0};
    size_t filled = 0;
    for (size_t row = 0; row < sample->n_rows && filled < LOOK_AT; row++) {
        const char *cell = sample_cell(sample, row, column);
        if (cell[0] == '\0')
            continue;
        filled++;
        seen[look_at_cell(cell)]++;
    }
    for (int look = LOOK_DATE; look <= LOOK_WHOLE; look++)
        if (2 * seen[look] > filled)
            return (enum look)look;
    return LOOK_OTHER;
}

/* The first column of that look which a description can name; else the first at all. */
static size_t find_look(const struct sample *sample, enum look look)
{
    size_t first = sample->header.n;
    for (size_t i = 0; i < sample->header.n; i++) {
        if (look_at(sample, i) != look)
            continue;
        if (sample_name_trouble(sample, i, true) == NULL)
            return i;
        if (first == sample->header.n)
            first = i;
    }
    return first;
}

static bool find_columns(const struct sample *sample, struct clock *clock)
{
    size_t none = sample->header.n;
    clock->n_columns = 1;
    clock->column[0] = find_look(sample, LOOK_WHOLE);
    if (clock->column[0] != none)
        return true;
    clock->n_columns = 2;
    clock->column[0] = find_look(sample, LOOK_DATE);
    clock->column[1] = find_look(sample, LOOK_HOUR);
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

static size_t count_read(const struct sample *sample, const struct clock *clock,
                         const struct stamp_format *format)
{
    size_t n = 0;
    int64_t time_us;
    for (size_t row = 0; row < sample->n_rows; row++)
        n += read_row(sample, clock, row, format, &time_us);
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

/* One try: the better form is kept, of equals the one tried first. */
static bool try_form(const struct sample *sample, struct clock *clock, int date, size_t hour,
                     bool in_stamp, struct faults *faults)
{
    struct stamp_format format;
    if (!compile(date, hour, in_stamp, &format, faults))
        return false;
    size_t n = count_read(sample, clock, &format);
    if (n <= clock->n_read)
        return true;
    clock->n_read = n;
    clock->in_stamp = in_stamp;
    format_text(date, hour, clock->format);
    clock->other[0] = '\0';
    if (date == ISO || dates[date].twin == NO_TWIN)
        return true;
    if (!compile(dates[date].twin, hour, in_stamp, &format, faults))
        return false;
    if (count_read(sample, clock, &format) == n)
        format_text(dates[date].twin, hour, clock->other);
    return true;
}

static bool find_format(const struct sample *sample, struct clock *clock, struct faults *faults)
{
    if (!try_form(sample, clock, ISO, 0, true, faults) ||
        !try_form(sample, clock, ISO, 0, false, faults))
        return false;
    for (int date = 0; date < DATES; date++)
        for (size_t hour = 0; hour < HOURS; hour++)
            if (!try_form(sample, clock, date, hour, false, faults))
                return false;
    return true;
}

static int by_size(const void *a, const void *b)
{
    int64_t x = *(const int64_t *)a;
    int64_t y = *(const int64_t *)b;
    return (x > y) - (x < y);
}

static void sum_up_steps(struct clock *clock, int64_t *steps, size_t n)
{
    if (n == 0)
        return;
    qsort(steps, n, sizeof *steps, by_size);
    clock->step_us = steps[n / 2];
    clock->least_step_us = steps[0];
    clock->most_step_us = steps[n - 1];
}

/* First stamp, and the steps of the first log. */
static bool find_steps(const struct sample *sample, struct clock *clock, struct faults *faults)
{
    struct stamp_format format;
    int64_t *steps = malloc((sample->n_rows + 1) * sizeof *steps);
    if (steps == NULL)
        return fault_memory(faults);
    bool good =
        stamp_compile(clock->format, clock->in_stamp, NULL, fault_at(NULL, 0, 0), &format, faults);
    int64_t before = 0;
    size_t n_read = 0;
    size_t n = 0;
    for (size_t row = 0; good && row < sample->n_first; row++) {
        int64_t now;
        if (!read_row(sample, clock, row, &format, &now))
            continue;
        if (n_read++ == 0)
            clock->first_us = now;
        else if (now > before)
            steps[n++] = now - before;
        else
            clock->n_back++;
        before = now;
    }
    sum_up_steps(clock, steps, n);
    free(steps);
    return good;
}

/* A clock that counts and is not read: known by its name and the size of its numbers. */
static void find_counter(const struct sample *sample, struct clock *clock)
{
    static const struct {
        double least;
        double most;
        const char *word;
        const char *is;
    } counters[] = {
        {1e9, 4e9, "", "seconds since 1970"},
        {1e12, 4e12, "", "milliseconds since 1970"},
        {0.0, 4294967296.0, "millis", "milliseconds since the logger was switched on"},
    };
    for (size_t column = 0; column < sample->header.n; column++)
        for (size_t i = 0; i < sizeof counters / sizeof counters[0]; i++) {
            double value;
            const char *cell = sample_cell(sample, 0, column);
            if (!number_read(cell, strlen(cell), '.', &value) || value < counters[i].least ||
                value > counters[i].most ||
                strstr(sample->header.names[column], counters[i].word) == NULL)
                continue;
            clock->counter = column;
            clock->counter_is = counters[i].is;
            return;
        }
}

bool clock_find(const struct sample *sample, struct clock *clock, struct faults *faults)
{
    char text[STAMP_BYTES_MAX * 2 + 2];
    memset(clock, 0, sizeof *clock);
    clock->counter = sample->header.n;
    if (find_columns(sample, clock)) {
        if (!find_format(sample, clock, faults))
            return false;
        for (size_t row = 0; row < sample->n_rows; row++)
            clock->n_stamps += stamp_text(sample, clock, row, text);
        clock->found = 2 * clock->n_read > clock->n_stamps;
    }
    if (clock->found)
        return find_steps(sample, clock, faults);
    find_counter(sample, clock);
    return true;
}
