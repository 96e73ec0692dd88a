#include "draft/clock_form.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* The usual one first: it is taken where the rows do not tell. */
enum order { DAY_FIRST, MONTH_FIRST, YEAR_FIRST, ORDERS };

/* Dates whose parts stand between the same signs. */
static const struct {
    const char *pattern[ORDERS]; /* NULL: the order is never used, or differs in its looks */
    bool day_usual;              /* day first nearly everywhere (common practice, no source) */
    bool year_rare;              /* a short year hardly ever comes first (the same) */
} families[] = {
    {{"%d/%m/%Y", "%m/%d/%Y", NULL}, false, false},
    {{"%d-%m-%Y", "%m-%d-%Y", NULL}, false, false},
    {{"%d/%m/%y", "%m/%d/%y", "%y/%m/%d"}, false, true},
    {{"%d-%m-%y", "%m-%d-%y", "%y-%m-%d"}, false, false},
    {{"%d.%m.%Y", "%m.%d.%Y", NULL}, true, false},
    {{"%d.%m.%y", "%m.%d.%y", "%y.%m.%d"}, true, true},
    {{NULL, NULL, "%Y-%m-%d"}, false, false},
    {{NULL, NULL, "%Y/%m/%d"}, false, false},
    {{NULL, NULL, "%Y.%m.%d"}, false, false},
    {{"%d-%b-%Y", NULL, NULL}, false, false},
    {{"%d/%b/%Y", NULL, NULL}, false, false},
    {{"%d.%b.%Y", NULL, NULL}, false, false},
    {{"%d-%b-%y", NULL, NULL}, false, false},
    {{"%d %b %Y", NULL, NULL}, false, false},
    {{"%d. %b %Y", NULL, NULL}, false, false},
    {{NULL, "%b %d, %Y", NULL}, false, false},
    {{NULL, "%b %d %Y", NULL}, false, false},
    {{"%a %d %b %Y", NULL, NULL}, false, false},
    {{"%a, %d %b %Y", NULL, NULL}, false, false},
    {{"%a %d. %b %Y", NULL, NULL}, false, false},
    {{"%a, %d. %b %Y", NULL, NULL}, false, false},
    {{"%d de %b de %Y", NULL, NULL}, false, false},
    {{"%a, %d de %b de %Y", NULL, NULL}, false, false},
    {{"%d %b %y", NULL, NULL}, false, false},
    {{"%d. %b %y", NULL, NULL}, false, false},
    {{"%d. %m. %Y", NULL, NULL}, false, false},
    {{"%d.%m. %Y", NULL, NULL}, false, false},
    {{NULL, NULL, "%Y-%j"}, false, false},
    {{NULL, NULL, "%Y %j"}, false, false},
    {{NULL, NULL, "%Y-%b-%d"}, false, false},
    {{NULL, NULL, "%Y %b %d"}, false, false},
    {{NULL, NULL, "%Y. %b %d."}, false, false},
    {{NULL, "%a, %b %d, %Y", NULL}, false, false},
    {{NULL, "%a %b %d %Y", NULL}, false, false},
    {{"%a %d/%m/%Y", "%a %m/%d/%Y", NULL}, false, false},
    {{"%a, %d/%m/%Y", "%a, %m/%d/%Y", NULL}, false, false},
    {{"%a %d.%m.%Y", "%a %m.%d.%Y", NULL}, true, false},
    {{"%a, %d.%m.%Y", "%a, %m.%d.%Y", NULL}, true, false},
    {{NULL, NULL, "%Y%m%d"}, false, false},
};
static const char *const hours[] = {"%H:%M:%S",   "%H:%M",    "%I:%M:%S %p", "%I:%M %p",
                                    "%I:%M:%S%p", "%H.%M.%S", "%H.%M",       "%H%M%S",
                                    "%H%M",       "%Hh%M:%S", "%Hh%M",
                                    "%H %M %S",   "%H %M",    "%q",          "%Hh%Mm%Ss",
                                    "%H-%M-%S",   "%H_%M_%S"};
/* Between day and hour; "T" only in front of bare digits. */
static const char *const glues[] = {" ", ", ", ":", " - ", "-", "_", "T", ""};
/* Forms whose day and hour do not stand one behind the other. */
static const char *const wholes[] = {"%a %b %d %H:%M:%S %Y", "%a %b %d %H:%M:%S %z %Y"};
enum {
    FAMILIES = sizeof families / sizeof families[0],
    HOURS = sizeof hours / sizeof hours[0],
    GLUES = sizeof glues / sizeof glues[0],
    WHOLES = sizeof wholes / sizeof wholes[0]
};
enum { ISO = -1, WHOLE = -2 };

/* Stamps that are tried first, from all over the rows: a form that reads none of them is passed
 * over. */
enum { PROBES = 40 };

/* One of our forms. */
struct form {
    int family; /* ISO: the rest is idle; WHOLE: `hour` says which */
    enum order order;
    size_t hour;
    size_t glue;
    bool in_stamp; /* the zone stands behind the hour */
    bool hour_first;
};

bool clock_form_stamp(const struct sample *sample, const struct clock *clock, size_t row,
                      char out[CLOCK_TEXT_SIZE])
{
    size_t length = 0;
    bool any = false;
    for (size_t i = 0; i < clock->n_columns; i++) {
        const char *cell = sample_cell(sample, row, clock->column[i]);
        size_t n = strlen(cell), tail = clock->tail != NULL && i == 0 ? strlen(clock->tail) : 0;
        size_t lead = clock->lead != NULL && i == 1 ? strlen(clock->lead) : 0;
        any = any || cell[0] != '\0';
        n = n < tail + lead ? 0 : n - tail - lead;
        length += (size_t)snprintf(out + length, CLOCK_TEXT_SIZE - length, "%s%.*s",
                                   i == 0 ? "" : " ", (int)n, n > 0 ? cell + lead : "");
    }
    return any;
}

static void form_text(const struct form *form, char out[CLOCK_FORMAT_SIZE])
{
    if (form->family == ISO)
        strcpy(out, "ISO 8601");
    else if (form->family == WHOLE)
        strcpy(out, wholes[form->hour]);
    else if (form->hour_first)
        snprintf(out, CLOCK_FORMAT_SIZE, "%s%s%s", hours[form->hour], glues[form->glue],
                 families[form->family].pattern[form->order]);
    else
        snprintf(out, CLOCK_FORMAT_SIZE, "%s%s%s%s", families[form->family].pattern[form->order],
                 glues[form->glue], hours[form->hour], form->in_stamp ? " %z" : "");
}

/* Whether a form reads one of some stamps from all over the rows. */
static bool reads_any(const struct sample *sample, const struct clock *clock,
                      const struct stamp_format *format)
{
    char text[CLOCK_TEXT_SIZE];
    size_t stride = sample->n_rows / PROBES + 1;
    for (size_t row = 0; row < sample->n_rows; row += stride) {
        int64_t time_us;
        if (clock_form_stamp(sample, clock, row, text) &&
            stamp_read(format, text, strlen(text), &time_us) == STAMP_GOOD)
            return true;
    }
    return false;
}

static bool read_by(const struct sample *sample, const struct clock *clock, const char *pattern,
                    bool in_stamp, int64_t *time_us, size_t *n, struct faults *faults)
{
    struct stamp_format format;
    char text[CLOCK_TEXT_SIZE];
    if (!stamp_compile(pattern, in_stamp, NULL, fault_at(NULL, 0, 0), &format, faults))
        return false;
    format.decimal = sample->dialect.decimal;
    stamp_of_columns(&format, clock->n_columns);
    *n = 0;
    if (!reads_any(sample, clock, &format))
        return true;
    for (size_t row = 0; row < sample->n_rows; row++) {
        time_us[row] = CLOCK_NONE;
        *n += clock_form_stamp(sample, clock, row, text) &&
              stamp_read(&format, text, strlen(text), &time_us[row]) == STAMP_GOOD;
    }
    return true;
}

bool clock_form_read(const struct sample *sample, const struct clock *clock, bool in_stamp,
                     int64_t *time_us, size_t *n, struct faults *faults)
{
    return read_by(sample, clock, clock->format, in_stamp, time_us, n, faults);
}

/* Reads every row's stamp into time_us; that a form compiles is ours to know.
 * Out: n   how many could be read */
static bool read_rows(const struct sample *sample, const struct clock *clock,
                      const struct form *form, int64_t *time_us, size_t *n, struct faults *faults)
{
    char text[CLOCK_FORMAT_SIZE];
    form_text(form, text);
    return read_by(sample, clock, text, form->in_stamp, time_us, n, faults);
}

/* One try: the better form is kept, of equals the one tried first. */
static bool try_form(const struct sample *sample, struct clock *clock, struct form form,
                     struct form *best, struct faults *faults)
{
    size_t n;
    if (!read_rows(sample, clock, &form, clock->time_us, &n, faults))
        return false;
    if (n > clock->n_read) {
        *best = form;
        clock->n_read = n;
    }
    return true;
}

/* A day with each way to write the hour beside it. */
typedef bool try_hour(const struct sample *sample, struct clock *clock, struct form form,
                      struct form *best, struct faults *faults);

/* Whether a day and an hour may stand beside a glue. "T" and nothing part bare digits only; signs
 * part a whole year from an hour that has signs, or "10:15" would be year and hour. */
static bool can_part(const char *glue, const char *day, const char *hour)
{
    if (glue[0] == 'T' || glue[0] == '\0')
        return text_same(day, "%Y%m%d");
    if (glue[0] == ' ' || glue[0] == ',')
        return true;
    return strstr(day, "%y") == NULL && strpbrk(hour, ":-_") != NULL;
}

/* A day with each way to write the hour behind it. */
static bool try_hours(const struct sample *sample, struct clock *clock, struct form form,
                      struct form *best, struct faults *faults)
{
    const char *day = families[form.family].pattern[form.order];
    for (form.glue = 0; form.glue < GLUES; form.glue++)
        for (form.hour = 0; form.hour < HOURS; form.hour++)
            if (can_part(glues[form.glue], day, hours[form.hour]) &&
                !try_form(sample, clock, form, best, faults))
                return false;
    return true;
}

/* The hour in front of the day, a blank between. */
static bool try_hours_first(const struct sample *sample, struct clock *clock, struct form form,
                            struct form *best, struct faults *faults)
{
    enum { COMMON = 4 }; /* of the hours */
    form.hour_first = true;
    for (form.hour = 0; form.hour < COMMON; form.hour++)
        if (!try_form(sample, clock, form, best, faults))
            return false;
    return true;
}

/* Days and hours parted by signs. in_stamp: with the zone behind them */
static bool try_families(const struct sample *sample, struct clock *clock, bool in_stamp,
                         try_hour *try, struct form *best, struct faults *faults)
{
    struct form form = {.in_stamp = in_stamp};
    for (form.family = 0; form.family < FAMILIES; form.family++)
        for (int order = 0; order < ORDERS; order++) {
            form.order = (enum order)order;
            if (families[form.family].pattern[order] != NULL &&
                !try(sample, clock, form, best, faults))
                return false;
        }
    return true;
}

/* Out: best   of all forms, in the order of the tables; clock->n_read */
static bool find_best(const struct sample *sample, struct clock *clock, struct form *best,
                      struct faults *faults)
{
    if (!try_form(sample, clock, (struct form){.family = ISO, .in_stamp = true}, best, faults) ||
        !try_form(sample, clock, (struct form){.family = ISO}, best, faults))
        return false;
    for (size_t whole = 0; whole < WHOLES; whole++)
        if (!try_form(sample, clock, (struct form){.family = WHOLE, .hour = whole}, best, faults))
            return false;
    return try_families(sample, clock, false, try_hours, best, faults) &&
           (clock->n_read > 0 ||
            (try_families(sample, clock, true, try_hours, best, faults) &&
             try_families(sample, clock, false, try_hours_first, best, faults)));
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

/* What the orders of a family make of the rows. */
struct orders {
    bool possible[ORDERS]; /* reads as many rows as the best */
    size_t leaps[ORDERS];
    size_t least; /* leaps among the possible ones */
};

static bool try_orders(const struct sample *sample, struct clock *clock, struct form form,
                       struct orders *orders, struct faults *faults)
{
    *orders = (struct orders){.least = SIZE_MAX};
    for (int order = 0; order < ORDERS; order++) {
        size_t n;
        struct clock_run run;
        form.order = (enum order)order;
        if (families[form.family].pattern[order] == NULL)
            continue;
        if (!read_rows(sample, clock, &form, clock->time_us, &n, faults))
            return false;
        if (n != clock->n_read)
            continue;
        if (!clock_run_look(sample, clock->time_us, &run))
            return fault_memory(faults);
        orders->possible[order] = true;
        orders->leaps[order] = count_leaps(sample, clock->time_us, &run);
        if (orders->leaps[order] < orders->least)
            orders->least = orders->leaps[order];
    }
    return true;
}

static bool is_open(const struct orders *orders, enum order order)
{
    return orders->possible[order] && orders->leaps[order] == orders->least;
}

/* The order that is taken, those that are as good, and why day and month stand so. */
static void choose_order(const struct orders *orders, struct clock *clock, struct form *form)
{
    struct form other = *form;
    form->order = is_open(orders, DAY_FIRST)     ? DAY_FIRST
                  : is_open(orders, MONTH_FIRST) ? MONTH_FIRST
                                                 : YEAR_FIRST;
    bool day_open = form->order == DAY_FIRST && is_open(orders, MONTH_FIRST);
    bool year_open = form->order != YEAR_FIRST && is_open(orders, YEAR_FIRST);
    other.order = MONTH_FIRST;
    if (day_open)
        form_text(&other, clock->other);
    other.order = YEAR_FIRST;
    if (year_open)
        form_text(&other, clock->year_first);
    clock->asked = (day_open && !families[form->family].day_usual) ||
                   (year_open && !families[form->family].year_rare);
    if (!day_open && form->order == YEAR_FIRST)
        clock->settled = "with the year at the end the rows would jump by years";
    else if (!day_open)
        clock->settled = orders->possible[DAY_FIRST] && orders->possible[MONTH_FIRST]
                             ? "read the other way round the rows would jump by months"
                             : "a number above 12 stands where the day is";
}

static size_t count_orders(int family)
{
    size_t n = 0;
    for (int order = 0; order < ORDERS; order++)
        n += families[family].pattern[order] != NULL;
    return n;
}

static bool use_form(const struct sample *sample, struct clock *clock, struct form form,
                     struct faults *faults)
{
    struct orders orders;
    size_t n;
    if (form.family >= 0 && count_orders(form.family) > 1) {
        if (!try_orders(sample, clock, form, &orders, faults))
            return false;
        choose_order(&orders, clock, &form);
    }
    form_text(&form, clock->format);
    clock->in_stamp = form.in_stamp;
    return read_rows(sample, clock, &form, clock->time_us, &n, faults) &&
           (clock_run_look(sample, clock->time_us, &clock->run) || fault_memory(faults));
}

bool clock_form_find(const struct sample *sample, struct clock *clock, struct faults *faults)
{
    char text[CLOCK_TEXT_SIZE];
    struct form best = {.family = ISO};
    if (!find_best(sample, clock, &best, faults))
        return false;
    for (size_t row = 0; row < sample->n_rows; row++)
        clock->n_stamps += clock_form_stamp(sample, clock, row, text);
    clock->found = 2 * clock->n_read > clock->n_stamps;
    return !clock->found || use_form(sample, clock, best, faults);
}
