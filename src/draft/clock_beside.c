#include "draft/clock_beside.h"

#include "draft/clock_form.h"
#include "draft/clock_zone.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

/* Share of the stamps with which seconds must fall. */
#define FALLS_ENOUGH 0.9

size_t clock_half_beside(const struct sample *sample, const struct clock *clock)
{
    for (size_t i = 0; i < sample->head.n && strstr(clock->format, "%p") == NULL; i++) {
        size_t n = 0, halves = 0;
        for (size_t row = 0; row < sample->n_rows; row++) {
            const char *cell = sample_cell(sample, row, i);
            n += cell[0] != '\0';
            halves += strcasecmp(cell, "AM") == 0 || strcasecmp(cell, "PM") == 0;
        }
        if (n > 0 && halves == n)
            return i;
    }
    return sample->head.n;
}

/* What a column adds to a form. Returns: false if there is no room or no place for it. */
typedef bool change(const char *format, char out[CLOCK_FORMAT_SIZE]);

/* "%m/%d/%y %H:%M" -> "%m/%d/%y %I:%M %p". */
static bool with_half(const char *format, char out[CLOCK_FORMAT_SIZE])
{
    const char *hour = strstr(format, "%H");
    if (hour == NULL || strlen(format) + 4 > CLOCK_FORMAT_SIZE)
        return false;
    strcpy(out, format);
    out[hour - format + 1] = 'I';
    strcat(out, " %p");
    return true;
}

/* ISO 8601 has its zone behind it anyway. */
static bool with_zone(const char *format, char out[CLOCK_FORMAT_SIZE])
{
    bool iso = strcmp(format, "ISO 8601") == 0;
    if (strlen(format) + 4 > CLOCK_FORMAT_SIZE)
        return false;
    strcpy(out, format);
    strcat(out, iso ? "" : " %z");
    return true;
}

static bool with_seconds(const char *format, char out[CLOCK_FORMAT_SIZE])
{
    if (strlen(format) + 4 > CLOCK_FORMAT_SIZE)
        return false;
    strcpy(out, format);
    strcat(out, " %S");
    return true;
}

/* The other orders of day and month that are open take the column too. */
static void change_other(char format[CLOCK_FORMAT_SIZE], change *with)
{
    char changed[CLOCK_FORMAT_SIZE];
    if (format[0] != '\0' && with(format, changed))
        strcpy(format, changed);
}

/* The clock with one more column, if it reads as many rows. pattern: its form, as a pattern */
static bool try_column(const struct sample *sample, struct clock *clock, size_t column,
                       const char *pattern, change *with, struct faults *faults)
{
    struct clock more = *clock;
    size_t n = 0;
    if (clock->n_columns == TIME_COLUMNS_MAX || !with(pattern, more.format) ||
        sample_name_trouble(sample, column, true) != NULL)
        return true;
    more.column[more.n_columns++] = column;
    more.time_us = malloc((sample->n_rows + 1) * sizeof *more.time_us);
    bool good = more.time_us != NULL || fault_memory(faults);
    for (size_t row = 0; good && row < sample->n_rows; row++)
        more.time_us[row] = CLOCK_NONE;
    more.in_stamp = with == with_zone;
    good = good && clock_form_read(sample, &more, more.in_stamp, more.time_us, &n, faults) &&
           (clock_run_look(sample, more.time_us, &more.run) || fault_memory(faults));
    if (!good || n < clock->n_read) {
        free(more.time_us);
        return good;
    }
    free(clock->time_us);
    more.n_read = n;
    change_other(more.other, with);
    change_other(more.year_first, with);
    *clock = more;
    return true;
}

static bool same_stamp(const struct sample *sample, const struct clock *clock, size_t row)
{
    return row > 0 && clock->time_us[row] != CLOCK_NONE &&
           clock->time_us[row] == clock->time_us[row - 1] &&
           sample->row[row].run == sample->row[row - 1].run;
}

/* Whether numbers run as seconds under the stamps. */
static bool runs_as_seconds(const struct sample *sample, const struct clock *clock, size_t column)
{
    double before = 0.0, value;
    size_t rises = 0, stamps = 0, falls = 0;
    for (size_t row = 0; row < sample->n_rows; row++, before = value) {
        if (!sample_number(sample, row, column, &value) || value < 0.0 || value >= 60.0)
            return false;
        bool same = same_stamp(sample, clock, row);
        if (same && !(value > before))
            return false;
        rises += same;
        stamps += row > 0 && !same;
        falls += row > 0 && !same && value < before;
    }
    return rises > 0 && stamps > 0 && (double)falls >= FALLS_ENOUGH * (double)stamps;
}

/* A pattern for stamps of ISO 8601 without seconds. */
static const char *pattern_of(const struct sample *sample, const struct clock *clock)
{
    char text[CLOCK_TEXT_SIZE] = "";
    if (strcmp(clock->format, "ISO 8601") != 0)
        return clock->format;
    for (size_t row = 0; row < sample->n_rows && text[0] == '\0'; row++)
        clock_form_stamp(sample, clock, row, text);
    return strlen(text) > 10 && text[10] == 'T' ? "%Y-%m-%dT%H:%M" : "%Y-%m-%d %H:%M";
}

static bool take_seconds(const struct sample *sample, struct clock *clock, struct faults *faults)
{
    if (strstr(clock->format, "%S") != NULL || clock->in_stamp)
        return true;
    for (size_t i = 0; i < sample->head.n; i++)
        if (!clock_uses(clock, i) && runs_as_seconds(sample, clock, i))
            return try_column(sample, clock, i, pattern_of(sample, clock), with_seconds, faults);
    return true;
}

static bool take_zone(const struct sample *sample, struct clock *clock, struct faults *faults)
{
    size_t column = clock_zone_find(sample, clock);
    if (clock->in_stamp || column == sample->head.n)
        return true;
    if (!try_column(sample, clock, column, clock->format, with_zone, faults))
        return false;
    clock->zone_beside = clock->in_stamp;
    return true;
}

bool clock_take_beside(const struct sample *sample, struct clock *clock, struct faults *faults)
{
    if (!clock->found || clock->counts != CLOCK_STAMPS)
        return true;
    size_t half = clock_half_beside(sample, clock);
    if (half < sample->head.n && !try_column(sample, clock, half, clock->format, with_half, faults))
        return false;
    return take_seconds(sample, clock, faults) && take_zone(sample, clock, faults);
}
