/* The rule behind the last change, as POSIX.1-2017 (8.3, TZ) writes it and RFC 9636 widens it:
 * STD OFFSET [DST [OFFSET] , START [/TIME] , END [/TIME]]. Offsets there count westward. */
#include "base/calendar.h"
#include "base/zone.h"

#include <string.h>

enum { HOURS_MOST = 167 };

/* Mm.w.d, Jn (29 February not counted) or n, and the time by the clock that is then left. */
struct day_rule {
    char kind; /* 'M', 'J' or 'n' */
    int month;
    int week; /* 5: the last */
    int day;
    int64_t time_s;
};

static bool take(const char **at, char c)
{
    if (**at != c)
        return false;
    (*at)++;
    return true;
}

static bool take_number(const char **at, int least, int most, int *value)
{
    int digits = 0;
    *value = 0;
    for (; **at >= '0' && **at <= '9' && digits < 4; digits++)
        *value = *value * 10 + (*(*at)++ - '0');
    return digits > 0 && *value >= least && *value <= most;
}

/* Three letters or more, or letters, digits and signs in <>. */
static bool take_name(const char **at)
{
    const char *from = *at;
    bool quoted = take(at, '<');
    size_t n = strcspn(*at, quoted ? ">" : "0123456789+-,");
    *at += n;
    return n >= 3 && (quoted ? take(at, '>') : *at != from);
}

/* [+-]hh[:mm[:ss]] */
static bool take_time(const char **at, int64_t *seconds)
{
    int h;
    int m = 0;
    int s = 0;
    bool negative = take(at, '-');
    if (!negative)
        take(at, '+');
    if (!take_number(at, 0, HOURS_MOST, &h))
        return false;
    if (take(at, ':') && (!take_number(at, 0, 59, &m) ||
                          (take(at, ':') && !take_number(at, 0, 59, &s))))
        return false;
    *seconds = (negative ? -1 : 1) * (int64_t)(h * S_PER_H + m * S_PER_MIN + s);
    return true;
}

static bool take_day(const char **at, struct day_rule *rule)
{
    *rule = (struct day_rule){.time_s = 2 * S_PER_H};
    if (!take(at, ','))
        return false;
    if (take(at, 'M')) {
        rule->kind = 'M';
        if (!take_number(at, 1, 12, &rule->month) || !take(at, '.') ||
            !take_number(at, 1, 5, &rule->week) || !take(at, '.') ||
            !take_number(at, 0, 6, &rule->day))
            return false;
    } else {
        rule->kind = take(at, 'J') ? 'J' : 'n';
        if (!take_number(at, rule->kind == 'J' ? 1 : 0, 365, &rule->day))
            return false;
    }
    return !take(at, '/') || take_time(at, &rule->time_s);
}

/* Days since 1970-01-01 of the first of a month; month 13 is the next January. */
static int64_t month_day(int year, int month)
{
    struct civil civil = {.year = year + (month - 1) / 12, .month = (month - 1) % 12 + 1, .day = 1};
    int64_t time_us = 0;
    calendar_instant(&civil, &time_us);
    return time_us / (S_PER_DAY * US_PER_S);
}

/* By the local clock, s since 1970-01-01. */
static int64_t rule_local_s(const struct day_rule *rule, int year)
{
    int64_t day;
    if (rule->kind == 'M') {
        int64_t first = month_day(year, rule->month);
        int64_t weekday = (first + 4) % 7; /* 1970-01-01 was a Thursday; years from 1970 on */
        day = first + (rule->day - weekday + 7) % 7 + 7 * (rule->week - 1);
        if (day >= month_day(year, rule->month + 1))
            day -= 7;
    } else if (rule->kind == 'J') {
        bool leap = month_day(year, 3) - month_day(year, 2) == 29;
        day = month_day(year, 1) + rule->day - 1 + (leap && rule->day >= 60);
    } else {
        day = month_day(year, 1) + rule->day;
    }
    return day * S_PER_DAY + rule->time_s;
}

struct two_rules {
    int64_t standard_s; /* offsets, eastward */
    int64_t summer_s;
    struct day_rule start;
    struct day_rule end;
    bool changes;
};

static bool is_offset(int64_t offset_s)
{
    return offset_s >= -ZONE_MOST_S && offset_s <= ZONE_MOST_S;
}

static bool read_rule(const char *text, struct two_rules *rules)
{
    int64_t west_s;
    memset(rules, 0, sizeof *rules);
    if (!take_name(&text) || !take_time(&text, &west_s))
        return false;
    rules->standard_s = -west_s;
    rules->changes = *text != '\0';
    if (!rules->changes)
        return true;
    rules->summer_s = rules->standard_s + S_PER_H;
    if (!take_name(&text))
        return false;
    if (*text != ',') {
        if (!take_time(&text, &west_s))
            return false;
        rules->summer_s = -west_s;
    }
    return is_offset(rules->standard_s) && is_offset(rules->summer_s) &&
           take_day(&text, &rules->start) && take_day(&text, &rules->end) && *text == '\0';
}

static bool add_later(struct zone *zone, int64_t after_s, const struct zone_change *change,
                      bool *memory)
{
    return change->at_s <= after_s || zone_add(zone, change->at_s, change->offset_s, memory);
}

bool zone_follow_rule(struct zone *zone, const char *rule, bool *memory)
{
    struct two_rules rules;
    struct civil from = {.year = 1970};
    int64_t after_s = INT64_MIN;
    if (!read_rule(rule, &rules))
        return false;
    if (zone->n > 0) {
        after_s = zone->changes[zone->n - 1].at_s;
        calendar_civil(after_s * US_PER_S, &from);
    }
    if (!rules.changes)
        return zone->n > 0 || zone->offset_s == rules.standard_s;
    for (int year = from.year < 1970 ? 1970 : from.year; year <= ZONE_LAST_YEAR; year++) {
        struct zone_change start = {rule_local_s(&rules.start, year) - rules.standard_s,
                                    rules.summer_s};
        struct zone_change end = {rule_local_s(&rules.end, year) - rules.summer_s,
                                  rules.standard_s};
        bool north = start.at_s < end.at_s;
        if (!add_later(zone, after_s, north ? &start : &end, memory) ||
            !add_later(zone, after_s, north ? &end : &start, memory))
            return false;
    }
    return true;
}
