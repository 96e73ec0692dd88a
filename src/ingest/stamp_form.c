/* The description's words for the form of a stamp. */
#include "ingest/stamp.h"

#include "base/text.h"

#include <stdio.h>
#include <string.h>

static bool refuse(struct place at, const char *text, const char *why, struct faults *faults)
{
    char list[320];
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    fault_found(fault, "time format '%s' %s", text, why);
    fault_expected(fault,
                   "ISO 8601, a pattern of %%Y %%y %%m %%b %%d %%j %%a %%H %%I %%p %%M %%S %%q %%z "
                   "and literal text, or a count: %s",
                   stamp_count_list(list, sizeof list));
    if (strchr(text, '%') != NULL && strchr(text, 'Y') == NULL && strchr(text, 'y') == NULL)
        fault_hint(fault, "if the stamps show no year, state it in [log], such as 'year = 2026'");
    else
        fault_hint(fault, "for 21/06/2026 10:15:30 write %%d/%%m/%%Y %%H:%%M:%%S");
    return false;
}

static bool is_iso(const char *text)
{
    return text_same_nocase(text, "ISO 8601") || text_same_nocase(text, "ISO8601") ||
           text_same_nocase(text, "ISO-8601");
}

static bool has(const struct stamp_format *format, char directive)
{
    return memchr(format->directive, directive, format->n) != NULL;
}

static bool add_part(struct stamp_format *format, char directive, char literal)
{
    if (format->n == STAMP_PARTS_MAX)
        return false;
    format->directive[format->n] = directive;
    format->literal[format->n++] = literal;
    return true;
}

/* Returns: NULL, or what is wrong. */
static const char *split_pattern(const char *text, struct stamp_format *format)
{
    for (const char *c = text; *c != '\0'; c++) {
        char directive = '\0';
        if (*c == '%' && c[1] != '%') {
            directive = *++c;
            if (directive == '\0' || strchr("YymbdjaHIMSpqz", directive) == NULL)
                return "holds a '%' that is not known";
            if (has(format, directive))
                return "says the same thing twice";
        } else if (*c == '%') {
            c++;
        } else if (*c == ' ' && c > text && c[-1] == ' ') {
            continue;
        }
        if (!add_part(format, directive, directive == '\0' ? *c : '\0'))
            return "is too long";
    }
    return NULL;
}

static bool is_number(char directive)
{
    return directive != '\0' && strchr("YymdjHIMS", directive) != NULL;
}

static const char *judge_zone(const struct stamp_format *format)
{
    if (format->zone_in_stamp && !has(format, 'z'))
        return "needs %z, since the zone is said to stand in the stamp";
    return NULL;
}

/* The share of the day is the whole time of day. */
static const char *judge_share(const struct stamp_format *format)
{
    for (const char *other = "HIpMS"; *other != '\0'; other++)
        if (has(format, *other))
            return "says the time of day twice, by %q and by the hour or its parts";
    return judge_zone(format);
}

/* Returns: NULL, or what a whole pattern lacks or says twice. */
static const char *judge_pattern(const struct stamp_format *format)
{
    if (has(format, 'Y') == has(format, 'y') && (format->year == 0 || has(format, 'y')))
        return "needs either %Y or %y";
    bool month = has(format, 'm') || has(format, 'b');
    if (has(format, 'j') && (month || has(format, 'd')))
        return "says the day twice, by %j and by the month";
    if (!has(format, 'j') && (has(format, 'm') == has(format, 'b') || !has(format, 'd')))
        return "needs either %m or %b, and %d; or %j, the day of the year";
    if (has(format, 'q'))
        return judge_share(format);
    if (has(format, 'H') == has(format, 'I'))
        return "needs either %H or %I";
    if (has(format, 'I') != has(format, 'p'))
        return "needs %I and %p together";
    if (!has(format, 'M'))
        return "needs %M";
    return judge_zone(format);
}

/* Whether %H%M stand together and no other number touches them. */
static bool hour_stands_with_minute(const struct stamp_format *format)
{
    const char *hour = memchr(format->directive, 'H', format->n);
    if (hour == NULL)
        return false;
    size_t i = (size_t)(hour - format->directive);
    bool minute_follows = i + 1 < format->n && format->directive[i + 1] == 'M';
    return minute_follows && (i == 0 || !is_number(format->directive[i - 1])) &&
           (i + 2 == format->n || !is_number(format->directive[i + 2]));
}

bool stamp_compile(const char *text, bool zone_in_stamp, const struct zone *zone, struct place at,
                   struct stamp_format *format, struct faults *faults)
{
    return stamp_compile_year(text, zone_in_stamp, zone, 0, at, format, faults);
}

/* Returns: false. */
static bool refuse_count(const char *text, const char *why, const char *hint, struct place at,
                         struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    fault_found(fault, "time format '%s' is a count, which %s", text, why);
    fault_hint(fault, "%s", hint);
    return false;
}

bool stamp_compile_year(const char *text, bool zone_in_stamp, const struct zone *zone, int year,
                        struct place at, struct stamp_format *format, struct faults *faults)
{
    memset(format, 0, sizeof *format);
    format->year = year;
    format->zone_in_stamp = zone_in_stamp;
    format->zone = zone;
    format->decimal = '.';
    format->iso = is_iso(text);
    format->count = stamp_count_find(text);
    if (zone != NULL && (zone->offset_s < -ZONE_MOST_S || zone->offset_s > ZONE_MOST_S))
        return refuse(at, text, "has a zone more than 18 h from UTC", faults);
    if (format->count != NULL && zone_in_stamp)
        return refuse_count(text, "cannot carry a zone",
                            "end 'time' with the zone of the logger's clock; of 'Unix time' it "
                            "only tells the days apart",
                            at, faults);
    if (format->count != NULL && year > 0)
        return refuse_count(text, "has no year of its own",
                            "take 'year' out; a clock that was set wrong is told by 'clock set'",
                            at, faults);
    if (format->iso || format->count != NULL)
        return true;
    const char *why = split_pattern(text, format);
    if (why == NULL)
        why = judge_pattern(format);
    if (why != NULL)
        return refuse(at, text, why, faults);
    for (size_t i = 1; i < format->n; i++)
        if (is_number(format->directive[i - 1]) && is_number(format->directive[i]))
            format->two_digits[i - 1] = format->two_digits[i] = true;
    format->hour_and_minute = hour_stands_with_minute(format);
    return true;
}

void stamp_of_columns(struct stamp_format *format, size_t n)
{
    format->short_clock = format->hour_and_minute && n > 1;
}

/* What a directive stands for in the example. */
static const char *example_of(char directive)
{
    static const struct {
        char directive;
        const char *text;
    } rows[] = {{'Y', "2026"}, {'y', "26"},  {'m', "06"}, {'b', "Jun"},
                {'d', "21"},   {'j', "172"}, {'a', "Sun"}, {'H', "14"}, {'I', "02"},
                {'p', "PM"},   {'M', "15"},  {'S', "30"},  {'z', "+01:00"},
                {'q', "0.594097"}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        if (rows[i].directive == directive)
            return rows[i].text;
    return "";
}

const char *stamp_example(const struct stamp_format *format, char *out, size_t size)
{
    if (format->iso) {
        snprintf(out, size, "2026-06-21T14:15:30%s", format->zone_in_stamp ? "+01:00" : "");
        return out;
    }
    if (format->count != NULL) {
        snprintf(out, size, "%s", format->count->example);
        return out;
    }
    size_t length = 0;
    out[0] = '\0';
    for (size_t i = 0; i < format->n && length + 8 < size; i++) {
        char literal[2] = {format->literal[i], '\0'};
        const char *part =
            format->directive[i] == '\0' ? literal : example_of(format->directive[i]);
        length += (size_t)snprintf(out + length, size - length, "%s", part);
    }
    return out;
}
