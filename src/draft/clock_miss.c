#include "draft/clock_miss.h"

#include "domain/words.h"
#include "draft/cell.h"
#include "draft/clock_look.h"
#include "draft/clock_parts.h"
#include "draft/draft_log.h"
#include "draft/people.h"
#include "ingest/stamp_names.h"

#include <string.h>

/* What a column's filled cells look like. */
struct looks {
    size_t filled;
    size_t kind[CELL_TEXT + 1];
    const char *first; /* filled cell; NULL: none */
    const char *last;
};

static struct looks look_at(const struct sample *sample, size_t column)
{
    struct looks looks = {0};
    for (size_t row = 0; row < sample->n_rows; row++) {
        const char *cell = sample_cell(sample, row, column);
        if (cell[0] == '\0')
            continue;
        looks.kind[cell_kind(cell, strlen(cell), sample->dialect.decimal)]++;
        looks.first = looks.filled++ == 0 ? cell : looks.first;
        looks.last = cell;
    }
    return looks;
}

static bool mostly(const struct looks *looks, enum cell_kind kind)
{
    return 2 * looks->kind[kind] > looks->filled;
}

/* The first column that mostly looks so. Returns: head.n if there is none. */
static size_t find(const struct sample *sample, enum cell_kind kind, struct looks *looks)
{
    for (size_t i = 0; i < sample->head.n; i++) {
        *looks = look_at(sample, i);
        if (mostly(looks, kind))
            return i;
    }
    return sample->head.n;
}

static void add_quoted(struct text *out, const char *string)
{
    text_add(out, "'");
    draft_add_clean(out, string);
    text_add(out, "'");
}

/* "30:00.0": the digits before the first colon are no hour when the column shows minutes. */
static bool shows_minutes(const struct looks *looks)
{
    return strchr(looks->first, '.') != NULL &&
           strchr(looks->first, ':') == strrchr(looks->first, ':');
}

static void add_hours(const struct sample *sample, size_t column, const struct looks *looks,
                      struct text *out)
{
    text_add(out, "Column ");
    add_quoted(out, sample->head.name[column]);
    if (shows_minutes(looks)) {
        text_add(out, " holds minutes and seconds alone, such as ");
        add_quoted(out, looks->first);
        text_add(out,
                 ", as a spreadsheet shows a time: give its cells the format yyyy-mm-dd hh:mm:ss "
                 "there and save again.\n");
        return;
    }
    text_add(out, " holds hours without a day, such as ");
    add_quoted(out, looks->first);
    text_add(out, ": put the day before each, or into a column of its own.\n");
}

/* Digits, then a colon. */
static bool is_hour(const char *cell)
{
    size_t n = strspn(cell, "0123456789");
    return n >= 1 && n <= 2 && cell[n] == ':';
}

static void add_days(const struct sample *sample, size_t column, const struct looks *looks,
                     struct text *out)
{
    text_add(out, "Column ");
    add_quoted(out, sample->head.name[column]);
    text_add(out, " holds days, such as ");
    add_quoted(out, looks->first);
    text_add(out,
             ", and no column holds hours such as 10:15:30: let the time be written so, behind the "
             "day or in a column of its own.\n");
}

static void add_gaps(const struct sample *sample, size_t column, const struct looks *looks,
                     struct text *out)
{
    text_add(out, "Column ");
    add_quoted(out, sample->head.name[column]);
    text_addf(out, " holds a day in %zu of %zu rows: fill it into every row.\n", looks->filled,
              sample->n_rows);
}

static bool is_letter(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (unsigned char)c >= 0x80;
}

/* The first word of three bytes or more that stands where a month may. Returns: its bytes; 0 */
static size_t month_word(const char *cell, const char **word)
{
    for (const char *at = cell; *at != '\0'; at += *at != '\0') {
        const char *from = at, *end = cell + strlen(cell), *day = at;
        while (is_letter(*at))
            at++;
        if (at - from < 3 || stamp_day_take(&day, end))
            continue;
        *word = from;
        return (size_t)(at - from);
    }
    return 0;
}

/* "21. июня 2026 10:15:30". Returns: whether that is why */
static bool add_month(const struct sample *sample, size_t column, const struct looks *looks,
                      struct text *out)
{
    const char *word, *cell = looks->first;
    size_t n = month_word(cell, &word);
    const char *at = word;
    int month = n == 0 ? 1 : stamp_month_take(&at, word + n);
    if (month > 0 || strpbrk(cell, "0123456789") == NULL)
        return false;
    text_add(out, "Column ");
    add_quoted(out, sample->head.name[column]);
    text_add(out, " holds ");
    add_quoted(out, cell);
    text_addf(out,
              ", and '%.*s' is %s: replace the months' names by numbers; names are read in %s.\n",
              (int)n, word,
              month == MONTH_OF_TWO ? "the name of two months" : "no month's name that is known",
              stamp_names_languages());
    return true;
}

/* Stamps in a form that is not known, or in several. */
static void add_stamps(const struct sample *sample, size_t column, const struct looks *looks,
                       struct text *out)
{
    if (add_month(sample, column, looks, out))
        return;
    text_add(out, "Column ");
    add_quoted(out, sample->head.name[column]);
    text_add(out, " holds stamps that no one form of these reads; the first is ");
    add_quoted(out, looks->first);
    text_add(out, ", the last ");
    add_quoted(out, looks->last);
    text_add(out, ". Another form can be stated by its pattern, if all rows have the same one.\n");
}

/* Year, month, day and the like in columns of their own. Returns: whether there are */
static bool add_parts(const struct sample *sample, struct text *out)
{
    bool year;
    if (clock_parts_named(sample, &year) < 2)
        return false;
    struct clock_mm mm;
    clock_parts_mm(sample, &mm);
    if (year && mm.n == 2 && !mm.told) {
        text_add(out, "Of ");
        add_quoted(out, sample->head.name[mm.column[0]]);
        text_add(out, " and ");
        add_quoted(out, sample->head.name[mm.column[1]]);
        text_add(out, " one seems to be the month, the other the minute, and neither their places "
                      "nor their numbers tell which: call them 'month' and 'minute' in the log, "
                      "and draft again.\n");
    } else if (!year)
        text_add(out,
                 "The parts of the time stand in columns of their own, and none is the year: add a "
                 "column 'Year', or join them with it into one, 2026-06-21 10:15:30.\n");
    else
        text_add(out,
                 "The parts of the time stand in columns of their own: name them with their form, "
                 "such as Year + Day + HourMin, %Y %j %H%M for the day of the year and 915 for "
                 "9:15, or join them into one, 2026-06-21 10:15:30.\n");
    return true;
}

/* A spreadsheet's days from 1990 to 2100. */
static bool is_whole_days(const struct sample *sample, size_t column)
{
    size_t n = 0;
    for (size_t row = 0; row < sample->n_rows; row++) {
        double value;
        n += sample_number(sample, row, column, &value) && value >= 32874.0 && value <= 73050.0;
    }
    return 10 * n >= 9 * sample->n_rows && clock_look_whole(sample, column);
}

/* "Tue 10:15:30". Returns: whether that is what stands there */
static bool add_weekday(const struct sample *sample, size_t column, const struct looks *looks,
                        struct text *out)
{
    const char *at = looks->first;
    if (!stamp_day_take(&at, at + strlen(at)) || !is_hour(at + strspn(at, "., ")))
        return false;
    text_add(out, "Column ");
    add_quoted(out, sample->head.name[column]);
    text_add(out, " holds hours and the day of the week without a date, such as ");
    add_quoted(out, looks->first);
    text_add(out, ": put the date before each, or into a column of its own.\n");
    return true;
}

static bool add_numbers(const struct sample *sample, struct text *out)
{
    for (size_t i = 0; i < sample->head.n; i++) {
        struct looks looks = look_at(sample, i);
        if (!head_rows_time_word(sample->head.name[i]) || looks.filled == 0)
            continue;
        if (mostly(&looks, CELL_TEXT) &&
            (add_weekday(sample, i, &looks, out) || add_month(sample, i, &looks, out)))
            return true;
        text_add(out, "Column ");
        add_quoted(out, sample->head.name[i]);
        text_add(out, " holds ");
        add_quoted(out, looks.first);
        if (clock_look_is_share(sample, i))
            text_add(out,
                     ", a spreadsheet's share of a day: let day and time stand in one column of "
                     "days, such as 46194.427, or as 2026-06-21 10:15:30.\n");
        else if (is_whole_days(sample, i))
            text_add(out,
                     ", a spreadsheet's number of a day, and no column holds hours such as "
                     "10:15:30, or the share of the day such as 0.427: let the time be written "
                     "so, in a column of its own, or behind the day.\n");
        else
            text_add(
                out,
                ", which is no time of these: let it be written as 2026-06-21 10:15:30; or, if "
                "the rows come at even distances, add a column 'seconds' that counts them "
                "since the start.\n");
        return true;
    }
    return false;
}

/* "14.06. 10:15:30". */
static void add_no_year(const struct sample *sample, size_t column, struct text *out)
{
    struct looks looks = look_at(sample, column);
    text_add(out, "Column ");
    add_quoted(out, sample->head.name[column]);
    text_add(out, " holds days without a year, such as ");
    add_quoted(out, looks.first);
    text_add(out, ": state how a stamp is written, such as '%d.%m. %H:%M' in 'time', and below it the "
                  "year, such as 'year = 2026'; or put the year behind each day in the file, 14.06. by "
                  "14.06.2026, and draft again.\n");
}

void clock_miss_add(const struct sample *sample, const struct clock *clock, struct text *out)
{
    struct looks looks = {0}, days = {0};
    size_t none = sample->head.n;
    if (clock->yearless) {
        add_no_year(sample, clock->column[0], out);
        return;
    }
    if (add_parts(sample, out))
        return;
    size_t stamp = find(sample, CELL_STAMP, &looks);
    if (stamp < none) {
        add_stamps(sample, stamp, &looks, out);
        return;
    }
    size_t hour = find(sample, CELL_HOUR, &looks);
    size_t day = find(sample, CELL_DATE, &days);
    if (day < none && 2 * days.filled < sample->n_rows)
        add_gaps(sample, day, &days, out);
    else if (day < none && add_month(sample, day, &days, out))
        return;
    else if (hour < none && (day < none || !is_hour(looks.first)))
        add_stamps(sample, day < none ? day : hour, day < none ? &days : &looks, out);
    else if (hour < none)
        add_hours(sample, hour, &looks, out);
    else if (day < none)
        add_days(sample, day, &days, out);
    else if (!add_numbers(sample, out))
        text_add(
            out,
            "If the rows come at even distances, add a column 'seconds' that counts them since "
            "the start: 0, 30, 60 and so on.\n");
}
