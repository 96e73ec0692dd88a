#include "run/log_clock.h"

#include "base/text.h"
#include "ingest/stamp_count.h"
#include "run/stated_stamp.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

const char *const stamp_side_words[STAMP_SIDES] = {
    [STAMPS_INSTANT] = "instant",
    [STAMPS_START] = "start of interval",
    [STAMPS_MIDDLE] = "middle of interval",
    [STAMPS_END] = "end of interval",
};

void log_clock_free(struct log_clock *clock)
{
    stated_list_free(&clock->start);
    stated_list_free(&clock->set);
    free((void *)(uintptr_t)clock->timing.starts_us);
    free((void *)(uintptr_t)clock->timing.sets);
    clock->timing = (struct log_timing){0};
}

static struct place place_in(const char *file, const struct stated *at)
{
    return fault_at(file, at->line, at->column);
}

static bool out_of_order(const char *key, const char *text, struct place at, struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    fault_found(fault, "'%s' %s is not after the one before", key, text);
    fault_hint(fault, "put the lines in the order of time");
    return false;
}

static bool settle_starts(struct log_clock *clock, const struct zone *zone, const char *file,
                          struct faults *faults)
{
    bool good = true;
    size_t n = clock->start.n;
    int64_t *starts_us = calloc(n + 1, sizeof *starts_us);
    if (starts_us == NULL)
        return fault_memory(faults);
    for (size_t i = 0; i < n; i++) {
        const struct stated_text *item = &clock->start.items[i];
        struct place at = place_in(file, &item->at);
        bool read = stated_stamp_read(item->text, zone, at, &starts_us[i], faults);
        if (read && i > 0 && starts_us[i] <= starts_us[i - 1])
            read = out_of_order("start", item->text, at, faults);
        good = good && read;
    }
    clock->timing.starts_us = starts_us;
    clock->timing.n_starts = n;
    if (n > 0)
        clock->timing.starts_at = place_in(file, &clock->start.items[0].at);
    return good;
}

/* `STAMP by AMOUNT`, the amount with its sign. */
static bool read_set(const struct stated_text *item, const struct zone *zone, struct place at,
                     struct clock_set *set, struct faults *faults)
{
    static const struct value_limits any = {-1e9, 1e9, false};
    char copy[VALUE_SIZE];
    double by_s = 0.0;
    strcpy(copy, item->text);
    char *by = strstr(copy, " by ");
    if (by == NULL) {
        struct fault *fault = fault_new(faults, FAULT_INPUT, at);
        fault_found(fault, "'%s' does not say by how much the clock was set", item->text);
        fault_expected(fault,
                       "what the clock showed then, 'by', and how far it was put forward (+) or "
                       "back (-): '2026-06-14T12:00:00 by +37 s'");
        return false;
    }
    *by = '\0';
    char *amount = text_trim(by + 4);
    if (*amount == '+')
        amount++;
    *set = (struct clock_set){.at = at};
    if (!stated_stamp_read(text_trim(copy), zone, at, &set->shown_us, faults) ||
        !value_quantity(amount, DIM_TIME, false, &any, at, &by_s, faults))
        return false;
    set->by_us = llround(by_s * 1e6);
    if (set->by_us != 0)
        return true;
    fault_found(fault_new(faults, FAULT_INPUT, at), "'%s' sets the clock by nothing", item->text);
    return false;
}

static bool settle_sets(struct log_clock *clock, const struct zone *zone, const char *file,
                        struct faults *faults)
{
    bool good = true;
    size_t n = clock->set.n;
    struct clock_set *sets = calloc(n + 1, sizeof *sets);
    if (sets == NULL)
        return fault_memory(faults);
    for (size_t i = 0; i < n; i++) {
        const struct stated_text *item = &clock->set.items[i];
        struct place at = place_in(file, &item->at);
        bool read = read_set(item, zone, at, &sets[i], faults);
        if (read && i > 0 && sets[i].shown_us <= sets[i - 1].shown_us)
            read = out_of_order("clock set", item->text, at, faults);
        good = good && read;
    }
    clock->timing.sets = sets;
    clock->timing.n_sets = n;
    return good;
}

static bool refuse_key(const char *key, const char *why, const char *hint, struct place at,
                       struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    fault_found(fault, "'%s' %s", key, why);
    fault_hint(fault, "%s", hint);
    return false;
}

/* Keys that belong to another form of stamps. */
static bool check_form(const struct log_clock *clock, const char *form, const char *file,
                       struct place time_at, struct faults *faults)
{
    const struct stamp_count *count = stamp_count_find(form);
    bool since_start = count != NULL && count->from == COUNT_FROM_START;
    if (since_start && clock->start.n == 0)
        return refuse_key(form, "cannot be placed without 'start'",
                          "say when the logger was switched on, such as 'start = 2026-06-14 "
                          "09:12:00'; once for each time that it was",
                          time_at, faults);
    if (!since_start && clock->start.n > 0)
        return refuse_key(
            "start", "is only for stamps that count since the start",
            "take it out, or state 'milliseconds since start' or 'seconds since start' "
            "in 'time'",
            place_in(file, &clock->start.items[0].at), faults);
    if (since_start && clock->set.n > 0)
        return refuse_key("clock set", "is not for stamps that count since the start",
                          "correct 'start' instead", place_in(file, &clock->set.items[0].at),
                          faults);
    return true;
}

static bool check_interval(const struct log_clock *clock, const char *file, struct faults *faults)
{
    enum stamp_side side = clock->timing.side;
    if (clock->interval_s.at.given && side != STAMPS_START && side != STAMPS_END)
        return refuse_key(
            "interval", "counts only for stamps at its start or its end",
            "add 'stamps = start of interval' or 'stamps = end of interval', or take it "
            "out",
            place_in(file, &clock->interval_s.at), faults);
    double rows = clock->rows_per_stamp.at.given ? clock->rows_per_stamp.value : 1.0;
    if (rows != floor(rows))
        return refuse_key("rows per stamp", "must be a whole number",
                          "count the rows under a few stamps of the log",
                          place_in(file, &clock->rows_per_stamp.at), faults);
    return true;
}

bool log_clock_settle(struct log_clock *clock, const char *form, const struct zone *zone,
                      const char *file, struct place time_at, struct faults *faults)
{
    struct log_timing *timing = &clock->timing;
    timing->side = (enum stamp_side)clock->stamps.index;
    timing->interval_us = clock->interval_s.at.given ? llround(clock->interval_s.value * 1e6) : 0;
    bool good = settle_starts(clock, zone, file, faults);
    good = settle_sets(clock, zone, file, faults) && good;
    good = check_form(clock, form, file, time_at, faults) && good;
    good = check_interval(clock, file, faults) && good;
    if (clock->rows_per_stamp.at.given)
        timing->rows_per_stamp = (unsigned)clock->rows_per_stamp.value;
    return good;
}
