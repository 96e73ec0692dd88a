#include "draft/clock.h"

#include "draft/clock_form.h"

#include <string.h>

/* Parts of the time that stand in columns of their own. */
enum part { YEAR, MONTH, DAY, DAY_OF_YEAR, HOUR, HOUR_AND_MINUTE, MINUTE, SECOND, PARTS };

/* Names without their capitals, and what is no letter left out. Common practice of who names
 * columns, no source. */
static const struct {
    const char *name;
    enum part part;
} names[] = {
    {"year", YEAR},
    {"yr", YEAR},
    {"yyyy", YEAR},
    {"month", MONTH},
    {"mon", MONTH},
    {"mo", MONTH},
    {"day", DAY},
    {"dd", DAY},
    {"dayofmonth", DAY},
    {"doy", DAY_OF_YEAR},
    {"jday", DAY_OF_YEAR},
    {"julianday", DAY_OF_YEAR},
    {"julian", DAY_OF_YEAR},
    {"dayofyear", DAY_OF_YEAR},
    {"yearday", DAY_OF_YEAR},
    {"hour", HOUR},
    {"hours", HOUR},
    {"hr", HOUR},
    {"hh", HOUR},
    {"hhmm", HOUR_AND_MINUTE},
    {"hourmin", HOUR_AND_MINUTE},
    {"hrmn", HOUR_AND_MINUTE},
    {"hrmin", HOUR_AND_MINUTE},
    {"hourminute", HOUR_AND_MINUTE},
    {"time", HOUR_AND_MINUTE},
    {"minute", MINUTE},
    {"minutes", MINUTE},
    {"min", MINUTE},
    {"second", SECOND},
    {"seconds", SECOND},
    {"sec", SECOND},
};
enum { NAMES = sizeof names / sizeof names[0], LETTERS = 32 };

/* "Hour/Minute [hhmm]" -> "hourminutehhmm". */
static void letters_of(const char *name, char out[LETTERS])
{
    size_t n = 0;
    for (; *name != '\0' && n < LETTERS - 1; name++) {
        char c = *name >= 'A' && *name <= 'Z' ? (char)(*name - 'A' + 'a') : *name;
        if (c >= 'a' && c <= 'z')
            out[n++] = c;
    }
    out[n] = '\0';
}

static enum part part_of(const char *name)
{
    char letters[LETTERS];
    letters_of(name, letters);
    for (size_t i = 0; i < NAMES; i++)
        if (strcmp(letters, names[i].name) == 0)
            return names[i].part;
    return PARTS;
}

/* The largest number of a column; 0 without any. */
static double most_of(const struct sample *sample, size_t column)
{
    double value, most = 0.0;
    for (size_t row = 0; row < sample->n_rows; row++)
        if (sample_number(sample, row, column, &value) && value > most)
            most = value;
    return most;
}

/* Out: column   of each part, head.n where there is none; the first of a name counts */
static void find_parts(const struct sample *sample, size_t column[PARTS])
{
    size_t none = sample->head.n;
    for (int part = 0; part < PARTS; part++)
        column[part] = none;
    for (size_t i = none; i-- > 0;) {
        enum part part = part_of(sample->head.name[i]);
        if (part != PARTS && sample_name_trouble(sample, i, true) == NULL)
            column[part] = i;
    }
    /* A day without a month is one of the year where the numbers say so; an hour of 945 has its
     * minutes with it. */
    if (column[MONTH] == none && column[DAY_OF_YEAR] == none && column[DAY] != none &&
        most_of(sample, column[DAY]) > 31.0) {
        column[DAY_OF_YEAR] = column[DAY];
        column[DAY] = none;
    }
    if (column[HOUR] != none && column[HOUR_AND_MINUTE] == none &&
        most_of(sample, column[HOUR]) > 24.0) {
        column[HOUR_AND_MINUTE] = column[HOUR];
        column[HOUR] = none;
    }
}

static void add(struct clock *clock, size_t column, const char *directive)
{
    if (clock->n_columns > 0)
        strcat(clock->format, " ");
    strcat(clock->format, directive);
    clock->column[clock->n_columns++] = column;
}

/* The columns in the order of the pattern. Returns: false if they tell no instant. */
static bool join(const struct sample *sample, const size_t column[PARTS], struct clock *clock)
{
    size_t none = sample->head.n;
    bool month = column[MONTH] != none && column[DAY] != none;
    bool minute = column[HOUR] != none && column[MINUTE] != none;
    if (column[YEAR] == none || !(month || column[DAY_OF_YEAR] != none) ||
        !(minute || column[HOUR_AND_MINUTE] != none))
        return false;
    add(clock, column[YEAR], most_of(sample, column[YEAR]) < 100.0 ? "%y" : "%Y");
    if (month) {
        add(clock, column[MONTH], "%m");
        add(clock, column[DAY], "%d");
    } else {
        add(clock, column[DAY_OF_YEAR], "%j");
    }
    if (minute) {
        add(clock, column[HOUR], "%H");
        add(clock, column[MINUTE], "%M");
    } else {
        add(clock, column[HOUR_AND_MINUTE], "%H%M");
    }
    if (column[SECOND] != none)
        add(clock, column[SECOND], "%S");
    return true;
}

bool clock_parts_find(const struct sample *sample, struct clock *clock, struct faults *faults)
{
    size_t column[PARTS];
    find_parts(sample, column);
    if (!join(sample, column, clock))
        return true;
    if (!clock_form_read(sample, clock, false, clock->time_us, &clock->n_read, faults))
        return false;
    char text[CLOCK_TEXT_SIZE];
    for (size_t row = 0; row < sample->n_rows; row++)
        clock->n_stamps += clock_form_stamp(sample, clock, row, text);
    clock->found = 2 * clock->n_read > clock->n_stamps;
    return clock_run_look(sample, clock->time_us, &clock->run) || fault_memory(faults);
}
