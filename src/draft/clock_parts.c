#include "draft/clock_parts.h"

#include "draft/clock_form.h"
#include "draft/clock_look.h"

#include <math.h>
#include <string.h>

/* Parts of the time that stand in columns of their own. */
enum part { YEAR, MONTH, DAY, DAY_OF_YEAR, HOUR, HOUR_AND_MINUTE, MINUTE, SECOND, PARTS };

/* Names without their capitals, and what is no letter left out; single letters as they are. Common
 * practice of who names columns, no source. */
static const struct {
    const char *name;
    enum part part;
} names[] = {
    {"year", YEAR},
    {"yr", YEAR},
    {"yy", YEAR},
    {"yyyy", YEAR},
    {"Y", YEAR},
    {"y", YEAR},
    {"month", MONTH},
    {"mon", MONTH},
    {"mo", MONTH},
    {"M", MONTH},
    {"day", DAY},
    {"dy", DAY},
    {"dd", DAY},
    {"dayofmonth", DAY},
    {"D", DAY},
    {"d", DAY},
    {"doy", DAY_OF_YEAR},
    {"jd", DAY_OF_YEAR},
    {"jday", DAY_OF_YEAR},
    {"julday", DAY_OF_YEAR},
    {"julianday", DAY_OF_YEAR},
    {"julian", DAY_OF_YEAR},
    {"jul", DAY_OF_YEAR},
    {"dayofyear", DAY_OF_YEAR},
    {"yearday", DAY_OF_YEAR},
    {"yday", DAY_OF_YEAR},
    {"dayno", DAY_OF_YEAR},
    {"ddd", DAY_OF_YEAR},
    {"hour", HOUR},
    {"hours", HOUR},
    {"hr", HOUR},
    {"hh", HOUR},
    {"h", HOUR},
    {"H", HOUR},
    {"hhmm", HOUR_AND_MINUTE},
    {"hourmin", HOUR_AND_MINUTE},
    {"hrmn", HOUR_AND_MINUTE},
    {"hrmin", HOUR_AND_MINUTE},
    {"hourminute", HOUR_AND_MINUTE},
    {"hm", HOUR_AND_MINUTE},
    {"tod", HOUR_AND_MINUTE},
    {"time", HOUR_AND_MINUTE},
    {"minute", MINUTE},
    {"minutes", MINUTE},
    {"min", MINUTE},
    {"mn", MINUTE},
    {"mi", MINUTE},
    {"m", MINUTE},
    {"second", SECOND},
    {"seconds", SECOND},
    {"secs", SECOND},
    {"sec", SECOND},
    {"sc", SECOND},
    {"ss", SECOND},
    {"s", SECOND},
    {"S", SECOND},
};
enum { NAMES = sizeof names / sizeof names[0], LETTERS = 32 };

/* "Hour/Minute [hhmm]" -> "hourminute"; `stops` are the signs behind which nothing counts. */
static void letters_of(const char *name, const char *stops, char out[LETTERS])
{
    size_t n = 0;
    for (; *name != '\0' && strchr(stops, *name) == NULL && n < LETTERS - 1; name++) {
        char c = *name >= 'A' && *name <= 'Z' ? (char)(*name - 'A' + 'a') : *name;
        if (c >= 'a' && c <= 'z')
            out[n++] = c;
    }
    out[n] = '\0';
}

static enum part find_name(const char *letters)
{
    for (size_t i = 0; i < NAMES; i++)
        if (strcmp(letters, names[i].name) == 0)
            return names[i].part;
    return PARTS;
}

/* A name that is nothing as a whole, such as "Year_logger", by its first word. What may be month or
 * minute is not told here (draft/clock_mm.h). */
static enum part part_of(const char *name)
{
    char letters[LETTERS];
    if (strlen(name) == 1)
        return find_name(name);
    letters_of(name, "[(", letters);
    enum part part = find_name(letters);
    if (part != PARTS || letters[1] == '\0')
        return part;
    letters_of(name, "[(_ ", letters);
    return letters[1] == '\0' ? PARTS : find_name(letters);
}

static bool is_date(const char *name)
{
    enum part part = part_of(name);
    return part == YEAR || part == DAY;
}

static bool is_clock(const char *name)
{
    enum part part = part_of(name);
    return part == HOUR || part == SECOND;
}

size_t clock_parts_named(const struct sample *sample, bool *year)
{
    size_t n = 0;
    *year = false;
    for (size_t i = 0; i < sample->head.n; i++) {
        enum part part = part_of(sample->head.name[i]);
        n += part != PARTS;
        *year = *year || part == YEAR;
    }
    return n;
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

void clock_parts_mm(const struct sample *sample, struct clock_mm *mm)
{
    clock_mm_find(sample, is_date, is_clock, mm);
}

/* "MM" alone is the minute behind an hour whose month is known, else the month. */
static void settle_mm(const struct sample *sample, size_t column[PARTS])
{
    size_t none = sample->head.n;
    struct clock_mm mm;
    clock_parts_mm(sample, &mm);
    if (mm.n == 1) {
        bool day = column[MONTH] != none || column[DAY] == none;
        enum part part = day && column[HOUR] != none ? MINUTE : MONTH;
        if (column[part] == none)
            column[part] = mm.column[0];
    } else if (mm.n == 2 && mm.told) {
        column[MONTH] = mm.column[0];
        column[MINUTE] = mm.column[1];
    }
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
    settle_mm(sample, column);
    /* A day without a month is one of the year; an hour of 945 has its minutes with it. */
    if (column[MONTH] == none && column[DAY_OF_YEAR] == none) {
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

/* Returns: false if they tell no day. */
static bool join_day(const struct sample *sample, const size_t column[PARTS], struct clock *clock)
{
    size_t none = sample->head.n;
    bool month = column[MONTH] != none && column[DAY] != none;
    if (column[YEAR] == none || !(month || column[DAY_OF_YEAR] != none))
        return false;
    add(clock, column[YEAR], most_of(sample, column[YEAR]) < 100.0 ? "%y" : "%Y");
    if (!month) {
        add(clock, column[DAY_OF_YEAR], "%j");
        return true;
    }
    add(clock, column[MONTH], "%m");
    add(clock, column[DAY], "%d");
    return true;
}

/* Whether a column of clock times such as 10:15:30 has seconds. */
static bool shows_seconds(const struct sample *sample, size_t column)
{
    for (size_t row = 0; row < sample->n_rows; row++) {
        const char *cell = sample_cell(sample, row, column);
        if (cell[0] != '\0')
            return strchr(cell, ':') != strrchr(cell, ':');
    }
    return false;
}

/* Returns: false if they tell no hour. */
static bool join_hour(const struct sample *sample, const size_t column[PARTS], struct clock *clock)
{
    size_t none = sample->head.n, whole = clock_look_find(sample, CELL_HOUR);
    bool minute = column[HOUR] != none && column[MINUTE] != none;
    if (whole != none) {
        add(clock, whole, shows_seconds(sample, whole) ? "%H:%M:%S" : "%H:%M");
        return true;
    }
    if (!minute && column[HOUR_AND_MINUTE] == none)
        return false;
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

/* Whether numbers are hours with minutes: not the hour alone, nor minutes of the day. */
static bool is_hour_and_minute(const struct sample *sample, size_t column)
{
    size_t n = 0, past = 0;
    double value;
    for (size_t row = 0; row < sample->n_rows; row++)
        if (sample_number(sample, row, column, &value)) {
            n++;
            past += value - 100.0 * floor(value / 100.0) >= 60.0;
        }
    return most_of(sample, column) > 59.0 && 10 * past < n;
}

/* Whether half of the stamps are read, and by what their numbers can be. */
static bool holds(const struct sample *sample, const size_t column[PARTS],
                  const struct clock *clock)
{
    bool number = column[HOUR_AND_MINUTE] < sample->head.n &&
                  strstr(clock->format, "%H%M") != NULL;
    return 2 * clock->n_read > clock->n_stamps &&
           (!number || is_hour_and_minute(sample, column[HOUR_AND_MINUTE]));
}

/* A day in one column, hour and minute in others. */
static bool find_behind_day(const struct sample *sample, const size_t column[PARTS], size_t day,
                            struct clock *clock, struct faults *faults)
{
    add(clock, day, "");
    if (!join_hour(sample, column, clock))
        return true;
    clock->format[0] = '\0';
    if (!clock_form_find(sample, clock, faults))
        return false;
    clock->found = clock->found && holds(sample, column, clock);
    return true;
}

bool clock_parts_find(const struct sample *sample, struct clock *clock, struct faults *faults)
{
    size_t column[PARTS], day = clock_look_find(sample, CELL_DATE);
    char text[CLOCK_TEXT_SIZE];
    find_parts(sample, column);
    if (day < sample->head.n)
        return find_behind_day(sample, column, day, clock, faults);
    if (!join_day(sample, column, clock) || !join_hour(sample, column, clock))
        return true;
    if (!clock_form_read(sample, clock, false, clock->time_us, &clock->n_read, faults))
        return false;
    for (size_t row = 0; row < sample->n_rows; row++)
        clock->n_stamps += clock_form_stamp(sample, clock, row, text);
    clock->found = holds(sample, column, clock);
    return clock_run_look(sample, clock->time_us, &clock->run) || fault_memory(faults);
}
