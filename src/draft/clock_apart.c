#include "draft/clock_apart.h"

#include "draft/clock_form.h"
#include "draft/clock_look.h"

#include <stdio.h>
#include <string.h>

/* Midnight behind a day, and the day from which hours count. Common practice of programs, no
 * source. */
static const char *const tails[] = {" 00:00:00",    " 0:00:00",  " 00:00",   " 0:00",
                                    " 12:00:00 AM", " 12:00 AM", "T00:00:00"};
static const char *const heads[] = {
    "1899-12-30 ", "1899-12-30T", "30/12/1899 ", "12/30/1899 ", "30.12.1899 ", "1899-12-31 ",
    "31/12/1899 ", "12/31/1899 ", "31.12.1899 ", "1900-01-01 ", "01/01/1900 ", "1/1/1900 ",
    "01.01.1900 ", "1900-01-00 ", "00/01/1900 ", "1/0/1900 ",   "00.01.1900 "};
enum { TAILS = sizeof tails / sizeof tails[0], HEADS = sizeof heads / sizeof heads[0] };

static bool ends_with(const char *cell, const char *part)
{
    size_t n = strlen(cell), m = strlen(part);
    return n > m && strcmp(cell + n - m, part) == 0;
}

static bool begins_with(const char *cell, const char *part)
{
    return strncmp(cell, part, strlen(part)) == 0;
}

/* Whether all filled cells have it, and there is one. */
static bool all_have(const struct sample *sample, size_t column, const char *part,
                     bool has(const char *cell, const char *part))
{
    size_t n = 0;
    for (size_t row = 0; row < sample->n_rows; row++) {
        const char *cell = sample_cell(sample, row, column);
        if (cell[0] != '\0' && !has(cell, part))
            return false;
        n += cell[0] != '\0';
    }
    return n > 0;
}

/* The first column all of whose cells have one of the parts. Returns: head.n if there is none */
static size_t find(const struct sample *sample, const char *const *parts, size_t n,
                   bool has(const char *cell, const char *part), const char **part)
{
    for (size_t i = 0; i < sample->head.n; i++)
        for (size_t k = 0; k < n; k++)
            if (all_have(sample, i, parts[k], has) &&
                sample_name_trouble(sample, i, true) == NULL) {
                *part = parts[k];
                return i;
            }
    return sample->head.n;
}

/* Puts the literals into a form whose hour stands behind a blank. Returns: false without room */
static bool compose(struct clock *clock)
{
    char whole[2 * CLOCK_FORMAT_SIZE];
    const char *hour = strstr(clock->format, " %H");
    hour = hour == NULL ? strstr(clock->format, " %I") : hour;
    if (hour == NULL)
        return false;
    snprintf(whole, sizeof whole, "%.*s%s %s%s", (int)(hour - clock->format), clock->format,
             clock->tail, clock->lead, hour + 1);
    if (strlen(whole) >= CLOCK_FORMAT_SIZE)
        return false;
    strcpy(clock->format, whole);
    return true;
}

/* ISO 8601 as a pattern, with seconds if they are there. */
static void spell_out(const struct sample *sample, struct clock *clock)
{
    char text[CLOCK_TEXT_SIZE] = "";
    if (strcmp(clock->format, "ISO 8601") != 0)
        return;
    for (size_t row = 0; row < sample->n_rows && text[0] == '\0'; row++)
        clock_form_stamp(sample, clock, row, text);
    const char *colon = strchr(text, ':');
    bool seconds = colon != NULL && strchr(colon + 1, ':') != NULL;
    strcpy(clock->format, seconds ? "%Y-%m-%d %H:%M:%S" : "%Y-%m-%d %H:%M");
}

/* Where day and month are open, the other order gets the same literals. */
static bool compose_all(const struct sample *sample, struct clock *clock)
{
    char *const others[] = {clock->other, clock->year_first};
    struct clock one = *clock;
    spell_out(sample, clock);
    if (!compose(clock))
        return false;
    for (size_t i = 0; i < 2; i++) {
        strcpy(one.format, others[i]);
        if (others[i][0] != '\0' && !compose(&one))
            return false;
        strcpy(others[i], others[i][0] != '\0' ? one.format : "");
    }
    clock->tail = clock->lead = NULL;
    return true;
}

bool clock_apart_find(const struct sample *sample, struct clock *clock, struct faults *faults)
{
    size_t none = sample->head.n, n = 0;
    clock->tail = clock->lead = "";
    size_t day = find(sample, tails, TAILS, ends_with, &clock->tail);
    size_t hour = find(sample, heads, HEADS, begins_with, &clock->lead);
    day = day == none && hour != none ? clock_look_find(sample, CELL_DATE) : day;
    hour = hour == none && day != none ? clock_look_find(sample, CELL_HOUR) : hour;
    clock->column[0] = day;
    clock->column[1] = hour;
    clock->n_columns = 2;
    if (day == none || hour == none || day == hour)
        return true;
    if (!clock_form_find(sample, clock, faults) || !clock->found)
        return clock->found || faults->n == 0;
    clock->found = !clock->in_stamp && compose_all(sample, clock);
    return !clock->found || clock_form_read(sample, clock, false, clock->time_us, &n, faults);
}
