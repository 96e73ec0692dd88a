#include "ingest/complaint_clock.h"

#include "base/calendar.h"
#include "ingest/complaint_files.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* A clock that began anew in some year long ago stands in the first days of January. */
static bool may_be_other_year(const struct stamp_troubles *t)
{
    struct civil civil;
    calendar_civil(t->unset_us + zone_offset_s(t->plan->zone, t->unset_us) * US_PER_S, &civil);
    return civil.year < 1990 && civil.month > 1;
}

static void hint_unset(const struct stamp_troubles *t, enum fault_kind kind, struct fault *fault)
{
    if (kind != FAULT_INPUT)
        fault_hint(fault, "such rows are not used");
    else if (t->format->count != NULL)
        fault_hint(fault,
                   "state in 'time' of [log] what the column counts; if that is right, set the "
                   "logger's clock before a test");
    else if (may_be_other_year(t))
        fault_hint(fault, "if day and hour are right and only the year is wrong, state it in [log], "
                          "such as 'year = 2026'; if not, who knows when the logger was switched "
                          "on can put the right stamps into the file");
    else
        fault_hint(fault, "set the logger's clock before a test; who knows when the logger was "
                          "switched on can put the right stamps into the file");
}

bool complain_unset(const struct stamp_troubles *t, struct faults *faults)
{
    uint64_t count = t->count[ROW_UNSET];
    char share[96];
    char clock[40];
    if (count == 0)
        return true;
    enum fault_kind kind = complain_kind(count, t);
    struct fault *fault = complain_at_first(t, ROW_UNSET, kind, faults);
    complain_share(count, t->rows_read, share);
    if (t->format->count == NULL)
        fault_found(fault, "the logger's clock was not set: stamp '%s' (%s)",
                    t->first[ROW_UNSET].text, share);
    else
        fault_found(fault,
                    "the logger's clock was not set, or its count is not '%s': stamp '%s' is "
                    "%s (%s)",
                    t->format->count->words, t->first[ROW_UNSET].text,
                    zone_iso(t->plan->zone, t->unset_us, clock, sizeof clock), share);
    fault_expected(fault, "a day from 1990 to 2100, other than 2000-01-01");
    hint_unset(t, kind, fault);
    return kind != FAULT_INPUT;
}

static const char *day_text(const struct zone *zone, int64_t time_us, char out[40])
{
    zone_plain(zone, time_us, out, 40);
    out[10] = '\0'; /* behind the date */
    return out;
}

/* Which of the two days is meant otherwise, and as what. */
static void say_meant(const struct stamp_troubles *t, const struct swap_seen *seen,
                      struct fault *fault)
{
    const struct zone *zone = t->plan->zone;
    char before[40], now[40], meant[2][40];
    day_text(zone, seen->before.us, before);
    day_text(zone, seen->now_us, now);
    day_text(zone, seen->meant_us[0], meant[0]);
    day_text(zone, seen->meant_us[1], meant[1]);
    fault_found(fault,
                "the log %s from %s (%s:%ld) to %s; with day and month exchanged it would go "
                "on from %s to %s",
                seen == &t->mixed ? "falls back" : "leaps", before, seen->before.path,
                seen->before.line, now, meant[0], meant[1]);
}

static struct fault *at_seen(const struct stamp_troubles *t, const struct swap_seen *seen,
                             enum fault_kind kind, struct faults *faults)
{
    struct place at = fault_at(t->path, seen->now.line, seen->now.column);
    struct fault *fault = fault_new(faults, kind, at);
    char names[FAULT_FIELD_SIZE];
    fault_field(fault, "field %zu %s", seen->now.field, complain_time_names(t->plan, names));
    say_meant(t, seen, fault);
    return fault;
}

bool complain_swapped(const struct stamp_troubles *t, struct faults *faults)
{
    char number[32];
    if (t->mixed.count > 0) {
        struct fault *fault = at_seen(t, &t->mixed, FAULT_INPUT, faults);
        fault_expected(fault, "day and month in one order in all rows (%s rows run backwards)",
                       count_text(t->count[ROW_BACKWARD], number));
        fault_hint(fault,
                   "a spreadsheet that reads dates in another order exchanges the days up to "
                   "12: take the log as the logger wrote it");
        return false;
    }
    if (t->leap.count > 0) {
        struct fault *fault = at_seen(t, &t->leap, FAULT_WARNING, faults);
        fault_hint(fault, "look whether 'time' of [log] has day and month in the log's order; if "
                          "the log is of days so far apart, all is well");
    }
    return true;
}

/* A last row alone. */
static void tell_lone(const struct stamp_troubles *t, struct faults *faults)
{
    const struct stray_found *lone = &t->lone;
    char now[40], before[40];
    if (lone->line == 0)
        return;
    struct fault *fault = fault_new(faults, FAULT_WARNING, fault_at(t->path, lone->line, 0));
    fault_found(fault,
                "the last row stands alone at %s, %.3g h after the row before (%s, line %ld): its "
                "stamp may run ahead",
                zone_iso(t->plan->zone, lone->time_us, now, sizeof now),
                (double)(lone->time_us - lone->before.us) / (double)(S_PER_H * US_PER_S),
                zone_iso(t->plan->zone, lone->before.us, before, sizeof before),
                lone->before.line);
    fault_hint(fault, "it is not used; a reading alone is of no use to a test either way");
}

bool complain_stray(const struct stamp_troubles *t, struct faults *faults)
{
    const struct stray_found *stray = &t->stray;
    char share[96], now[40], before[40], after[40];
    tell_lone(t, faults);
    if (stray->line == 0)
        return true;
    enum fault_kind kind = complain_kind(t->stray_leaps, t);
    uint64_t count = t->count[ROW_STRAY] - (t->lone.line > 0);
    struct fault *fault = fault_new(faults, kind, fault_at(t->path, stray->line, 0));
    char names[FAULT_FIELD_SIZE];
    fault_field(fault, "%s", complain_time_names(t->plan, names));
    zone_iso(t->plan->zone, stray->time_us, now, sizeof now);
    zone_iso(t->plan->zone, stray->after.us, after, sizeof after);
    complain_share(count, t->rows_read, share);
    if (stray->before.line > 0)
        fault_found(fault,
                    "stamp %s runs ahead: the rows go on from %s (line %ld) to %s (line %ld) (%s)",
                    now, zone_iso(t->plan->zone, stray->before.us, before, sizeof before),
                    stray->before.line, after, stray->after.line, share);
    else
        fault_found(fault, "stamp %s runs ahead: the rows go on from %s (line %ld) (%s)", now,
                    after, stray->after.line, share);
    fault_hint(fault, kind == FAULT_INPUT
                          ? "find out why the stamps leap, and mend them; if two loggers wrote "
                            "the file, each needs a file and a section [log NAME] of its own"
                          : "such rows are not used, all others are; who knows the right stamp "
                            "can mend it in the log");
    return kind != FAULT_INPUT;
}

bool complain_no_start(const struct stamp_troubles *t, struct faults *faults)
{
    const struct row_before *last = &t->before[ROW_NO_START];
    char share[96];
    char after[FAULT_FILE_SIZE + 40] = "";
    if (t->count[ROW_NO_START] == 0)
        return true;
    if (last->line > 0)
        snprintf(after, sizeof after, " after %s:%ld", last->path, last->line);
    struct fault *fault = complain_at_first(t, ROW_NO_START, FAULT_INPUT, faults);
    fault_found(fault,
                "the count falls to '%s'%s, as when the logger is switched on again, and no "
                "'start' says when that was (%s)",
                t->first[ROW_NO_START].text, after,
                complain_share(t->count[ROW_NO_START], t->rows_read, share));
    fault_hint(fault,
               "state a 'start' in [log] for each time that it was switched on, in order; if "
               "nobody knows when, cut the file before this row");
    return false;
}

void note_parts(const struct stamp_troubles *t, struct faults *faults)
{
    char share[96];
    if (t->count[ROW_PART] == 0)
        return;
    struct fault *fault = complain_at_first(t, ROW_PART, FAULT_NOTE, faults);
    fault_found(
        fault,
        "the rows of '%s' are not used: a log may begin, or go on after a gap, in the middle "
        "of the %u rows of a stamp, so those of the first stamp are left out (%s)",
        t->first[ROW_PART].text, t->plan->timing.rows_per_stamp,
        complain_share(t->count[ROW_PART], t->rows_read, share));
    fault_hint(fault, "nothing needs to be done");
}

/* How many rows share a stamp, if it is much the same number all through the file; else 0. */
static uint64_t rows_a_stamp(const struct stamp_troubles *t)
{
    uint64_t rows = t->rows_used + t->count[ROW_DUPLICATE];
    uint64_t n = t->rows_used == 0 ? 0 : (rows + t->rows_used / 2) / t->rows_used;
    uint64_t even = n * t->rows_used;
    uint64_t off = rows > even ? rows - even : even - rows;
    return n >= 2 && off <= n + rows / 50 ? n : 0;
}

static void hint_duplicates(const struct stamp_troubles *t, enum fault_kind kind,
                            struct fault *fault)
{
    uint64_t n = rows_a_stamp(t);
    if (kind == FAULT_INPUT)
        fault_hint(fault, "the file adds no row: is the same log given twice?");
    else if (t->plan->timing.rows_per_stamp > 1)
        fault_hint(fault, "the surplus rows are not used; let the logger write seconds");
    else if (n > 0)
        fault_hint(fault,
                   "only the first row of a stamp is used; if the logger writes %" PRIu64
                   " rows at even distances under one stamp, state 'rows per stamp = %" PRIu64
                   "' in [log]; better let it write seconds",
                   n, n);
    else
        fault_hint(fault, "only the first row of a stamp is used; if the stamps are coarser than "
                          "the rows, let the logger write seconds");
}

bool complain_duplicates(const struct stamp_troubles *t, struct faults *faults)
{
    uint64_t count = t->count[ROW_DUPLICATE];
    unsigned stated = t->plan->timing.rows_per_stamp;
    char share[96];
    if (count == 0)
        return true;
    bool none = t->rows_used == 0 && t->count[ROW_OVERLAP] == 0;
    enum fault_kind kind = none ? FAULT_INPUT : FAULT_WARNING;
    struct fault *fault = complain_at_first(t, ROW_DUPLICATE, kind, faults);
    const char *text = t->first[ROW_DUPLICATE].text;
    complain_share(count, t->rows_read, share);
    if (stated > 1)
        fault_found(fault, "more than the stated %u rows have the stamp '%s' (%s)", stated, text,
                    share);
    else
        fault_found(fault, "stamp '%s' is that of the row before (%s)", text, share);
    hint_duplicates(t, kind, fault);
    return kind != FAULT_INPUT;
}

/* Rows in the order of another column fall again and again; behind a restart they run on. */
static bool are_unsorted(const struct stamp_troubles *t)
{
    enum { FALLS_LEAST = 3, ROWS_A_FALL = 20 };
    return t->falls.n >= FALLS_LEAST && ROWS_A_FALL * t->falls.n >= t->count[ROW_BACKWARD];
}

/* Whether the head stands again between the row before and the first that runs backwards. */
static bool head_between(const struct stamp_troubles *t)
{
    long line = t->first[ROW_HEADER_AGAIN].line;
    return t->count[ROW_HEADER_AGAIN] > 0 && line > t->before[ROW_BACKWARD].line &&
           line < t->first[ROW_BACKWARD].line;
}

static void hint_set_by(const struct stamp_troubles *t, struct fault *fault)
{
    char shown[40];
    int64_t due_us = t->before[ROW_BACKWARD].us + t->step_us;
    double by_s = (double)(t->backward_us - due_us) / 1e6;
    zone_iso(t->plan->zone, due_us, shown, sizeof shown);
    if (head_between(t))
        fault_hint(fault,
                   "the head stands again in line %ld: if what follows stands above already, remove "
                   "it; if the logger started again there with another time, state it in [log], "
                   "such as 'clock set = %s by %.12g s'",
                   t->first[ROW_HEADER_AGAIN].line, shown, by_s);
    else if (t->before[ROW_BACKWARD].us - t->backward_us <= S_PER_H * US_PER_S)
        fault_hint(fault,
                   "if the clock was set back there, state it in [log], such as 'clock set = %s by "
                   "%.12g s'; if it is the earlier stamp that is wrong, mend that row; if two "
                   "loggers wrote the file, each needs a file and a section [log NAME] of its own",
                   shown, by_s);
    else if (t->falls.n == 1 && t->falls.oldest)
        fault_hint(fault,
                   "all rows from there on are older than the first: if the logger writes round in "
                   "a circle, move them to the top; if the clock was set back there, state it in "
                   "[log], such as 'clock set = %s by %.12g s'",
                   shown, by_s);
    else
        fault_hint(fault,
                   "if the clock was set back there, state it in [log], such as 'clock set = %s by "
                   "%.12g s'; if it is the earlier stamp that is wrong, mend that row; if these "
                   "rows stand above already, remove them; if two loggers wrote the file, each "
                   "needs a file and a section [log NAME] of its own",
                   shown, by_s);
}

/* With other corrections stated the stamps are no longer what the clock showed. */
void hint_set_back(const struct stamp_troubles *t, struct fault *fault)
{
    const struct row_before *last = &t->before[ROW_BACKWARD];
    const struct log_timing *timing = &t->plan->timing;
    bool plain = timing->n_sets == 0 && timing->rows_per_stamp < 2 &&
                 (timing->side == STAMPS_INSTANT || timing->side == STAMPS_MIDDLE) &&
                 t->format->count == NULL;
    if (t->apart != NULL || strcmp(last->path, t->path) != 0) {
        hint_files_apart(t, fault);
        return;
    }
    if (t->merged) {
        fault_hint(
            fault,
            "its rows are merged with those of other files by the stamps: if the clock was set "
            "back, mend the stamps of this file there; if it is the earlier stamp that is "
            "wrong, mend that row; if a second logger wrote it, it has its own section [log "
            "NAME]");
        return;
    }
    if (are_unsorted(t)) {
        fault_hint(fault, "the stamps fall again and again, as in rows sorted by another column: "
                          "sort them by time, oldest first");
        return;
    }
    if (!plain || t->step_us == 0) {
        fault_hint(fault,
                   "if the clock was set back, mend the stamps or cut the file there; if it is "
                   "the earlier stamp that is wrong, mend that row; if two loggers wrote the file, "
                   "each needs a file and a section [log NAME] of its own");
        return;
    }
    int64_t due_us = last->us + t->step_us;
    int64_t half_day_us = due_us - t->backward_us - 12 * S_PER_H * US_PER_S;
    if (llabs(half_day_us) <= t->step_us) {
        fault_hint(fault,
                   "it falls by 12 hours: the clock seems to run from 1 to 12 and not to say "
                   "morning or afternoon; let the logger write 24 hours, or put AM or PM "
                   "behind each stamp and state %%I and %%p in 'time' of [log]");
        return;
    }
    hint_set_by(t, fault);
}

void complain_late(const struct log_account *account, struct faults *faults)
{
    char rows[32];
    const struct log_late *late = &account->late;
    if (late->n == 0 || late->most_us <= STRAY_LATE_US)
        return;
    struct place at = fault_at(account->files[late->first.file].path, late->first.line, 0);
    struct fault *fault = fault_new(faults, FAULT_WARNING, at);
    fault_found(fault, "%s row%s %.3g h behind the newest stamp before %s, and put in %s",
                count_text(late->n, rows), late->n > 1 ? "s come up to" : " comes",
                (double)late->most_us / (double)(S_PER_H * US_PER_S), late->n > 1 ? "them" : "it",
                late->n > 1 ? "their places" : "its place");
    fault_hint(fault, "look at the rows before: a stamp that runs ahead is wrong");
}
