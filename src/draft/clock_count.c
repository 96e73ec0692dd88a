#include "draft/clock.h"

#include "domain/words.h"
#include "draft/clock_form.h"
#include "draft/clock_look.h"
#include "draft/guess.h"
#include "ingest/stamp.h"

#include <math.h>
#include <string.h>
#include <strings.h>

/* Share of a column's cells that must be numbers of the count's range. */
#define ENOUGH 0.9

/* Rows to each power-up, at least. Our own figure. */
enum { STEPS_A_FALL = 2 };

/* The counts of ingest/stamp_count.h, the sure ones first. Numbers of Unix time from 1990 to 2060
 * are of nothing else, and those beyond count from 1904, up to the same year; days and what begins
 * at 0 need a name that says so. Our own figures. */
static const struct {
    const char *words;
    enum clock_counts counts;
    double least;
    double most;
    double whole;      /* of the next longer unit; 0: none */
    const char *names; /* one of these words in the column's name; "": any name */
} counts[] = {
    {"Unix time", CLOCK_COUNT_UTC, 631152000.0, 2840140800.0, 0.0, ""},
    {"seconds since 1904", CLOCK_COUNT_UTC, 2840140800.0, 4922985600.0, 0.0, ""},
    {"Unix time ms", CLOCK_COUNT_UTC, 631152000e3, 2840140800e3, 0.0, ""},
    {"Unix time us", CLOCK_COUNT_UTC, 631152000e6, 2840140800e6, 0.0, ""},
    {"spreadsheet days", CLOCK_COUNT_LOCAL, 32874.0, 73050.0, 0.0,
     "time date datetime timestamp stamp"},
    {"milliseconds since start", CLOCK_COUNT_START, 0.0, 4294967295.0, 0.0,
     "millis ms milliseconds"},
    {"minutes since start", CLOCK_COUNT_START, 0.0, 1e7, 60.0, "minutes min mins"},
    {"hours since start", CLOCK_COUNT_START, 0.0, 1e6, 24.5, "hours hrs hr h"},
    {"seconds since start", CLOCK_COUNT_START, 0.0, 1e8, 60.0,
     "seconds sec elapsed uptime seconds_since_start s"},
};
enum { COUNTS = sizeof counts / sizeof counts[0] };

static bool has_word(const char *name, const char *list)
{
    struct name_words words;
    words_cut(name, &words);
    for (size_t i = 0; i < words.n; i++) {
        size_t n = strlen(words.word[i]);
        for (const char *at = list; *at != '\0'; at += strspn(at, " ")) {
            size_t length = strcspn(at, " ");
            if (n == length && strncasecmp(words.word[i], at, n) == 0)
                return true;
            at += length;
        }
    }
    return list[0] == '\0';
}

/* What counts rises from row to row, but for a few times at which the logger was switched on. */
static bool rises(const struct sample *sample, size_t column)
{
    size_t up = 0, not_up = 0;
    double before = NAN, value;
    for (size_t row = 0; row < sample->n_rows; row++) {
        if (!sample_number(sample, row, column, &value))
            continue;
        up += value > before;
        not_up += value <= before;
        before = value;
    }
    return up > 0 && not_up * STEPS_A_FALL <= up;
}

/* Minutes since midnight of 945 for 9:45. Returns: false if it is no such number. */
static bool clock_minutes(double value, double *minutes)
{
    double hours = floor(value / 100.0), rest = value - 100.0 * hours;
    *minutes = 60.0 * hours + rest;
    return value >= 0.0 && value <= 2400.0 && rest < 60.0 && floor(value) == value;
}

/* "945", "1000", "1015": hours and minutes written as one number come at even distances where they
 * are read so, and with a leap at each hour where they are read as a count. */
static bool is_hours_and_minutes(const struct sample *sample, size_t column)
{
    size_t even_count = 0, even_clock = 0;
    double value, minutes, last = NAN, last_minutes = NAN, step = NAN, step_minutes = NAN;
    for (size_t row = 0; row < sample->n_rows; row++) {
        if (!sample_number(sample, row, column, &value))
            continue;
        if (!clock_minutes(value, &minutes))
            return false;
        even_count += value - last == step;
        even_clock += minutes - last_minutes == step_minutes;
        step = value - last;
        step_minutes = minutes - last_minutes;
        last = value;
        last_minutes = minutes;
    }
    return even_clock > even_count;
}

/* "minute" beside an hour and "hour" beside a day fall before they reach the next one's whole. */
static bool is_part(const struct sample *sample, size_t column, double whole)
{
    double before = NAN, value, most = 0.0;
    size_t falls = 0;
    for (size_t row = 0; row < sample->n_rows; row++) {
        if (!sample_number(sample, row, column, &value))
            continue;
        falls += value < before;
        most = value > most ? value : most;
        before = value;
    }
    return falls > 0 && most < whole;
}

/* "wind [m/s]" is no count of seconds. */
static bool is_reading(const struct sample *sample, size_t column)
{
    struct guess guess;
    guess_column(sample->head.name[column],
                 sample->head.unit == NULL ? "" : sample->head.unit[column], &guess);
    return guess.kind == GUESS_CHANNEL;
}

static bool fits(const struct sample *sample, size_t column, size_t count)
{
    size_t n = 0;
    if (!has_word(sample->head.name[column], counts[count].names))
        return false;
    if (counts[count].counts == CLOCK_COUNT_START &&
        (is_reading(sample, column) || !rises(sample, column) ||
         is_hours_and_minutes(sample, column) || is_part(sample, column, counts[count].whole)))
        return false;
    for (size_t row = 0; row < sample->n_rows; row++) {
        double value;
        n += sample_number(sample, row, column, &value) && value >= counts[count].least &&
             value <= counts[count].most;
    }
    return (double)n >= ENOUGH * (double)sample->n_rows;
}

/* Reads every row's count. */
static void read_counts(const struct sample *sample, struct clock *clock,
                        const struct stamp_format *format)
{
    char text[CLOCK_TEXT_SIZE];
    for (size_t row = 0; row < sample->n_rows; row++) {
        int64_t *time_us = &clock->time_us[row];
        bool any = clock_form_stamp(sample, clock, row, text);
        *time_us = CLOCK_NONE;
        clock->n_stamps += any;
        clock->n_read += any && stamp_read(format, text, strlen(text), time_us) == STAMP_GOOD;
    }
}

/* Whole days want the share of the day in a column beside them. Returns: false without one */
static bool take_share(const struct sample *sample, struct clock *clock)
{
    if (clock->counts != CLOCK_COUNT_LOCAL || !clock_look_whole(sample, clock->column[0]))
        return true;
    clock->column[1] = clock_look_share(sample);
    clock->n_columns = 2;
    return clock->column[1] != sample->head.n;
}

bool clock_count_find(const struct sample *sample, struct clock *clock, struct faults *faults)
{
    struct stamp_format format;
    for (size_t count = 0; count < COUNTS; count++)
        for (size_t column = 0; column < sample->head.n; column++) {
            if (!fits(sample, column, count) || sample_name_trouble(sample, column, true) != NULL)
                continue;
            strcpy(clock->format, counts[count].words);
            clock->counts = counts[count].counts;
            clock->column[0] = column;
            clock->n_columns = 1;
            if (!take_share(sample, clock))
                continue;
            if (!stamp_compile(clock->format, false, NULL, fault_at(NULL, 0, 0), &format, faults))
                return false;
            format.decimal = sample->dialect.decimal;
            read_counts(sample, clock, &format);
            clock->found = 2 * clock->n_read > clock->n_stamps;
            return true;
        }
    return true;
}
