#include "base/calendar.h"
#include "base/files.h"
#include "ingest/complaint.h"
#include "run/reduction_document.h"
#include "run/words.h"

#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

/* So many readings that are all the same are told. */
enum { TEXT_SIZE = 96, CHANGES_TOLD = 8, SAME_LEAST = 60 };

/* So many gaps, one directly after the other, are rows that come more slowly; a leap of so many days
 * is asked about. Our own figures. */
enum { SLOWER_LEAST = 20, LEAP_DAYS = 180 };

/* "day1.csv:1042", or "" if there is none. */
static const char *first_place(const struct log_account *account, const struct log_place *place,
                               char *out, size_t size)
{
    if (place->line == 0)
        out[0] = '\0';
    else
        snprintf(out, size, "%s:%ld", path_base(account->files[place->file].path), place->line);
    return out;
}

/* A total stands in its own unit. */
static bool counts_pulses(const struct reduction *r, enum channel ch)
{
    enum pulse_form form = r->pulses[COUNTED_FLOW].meter.form;
    return ch == CH_FLOW && form != PULSES_NONE && form != PULSES_TOTAL;
}

/* The unit in which the description states the column; NULL: as counted, or in SI. */
static const struct unit *unit_stated(const struct reduction *r, enum channel ch)
{
    const struct instrument *in =
        instrument_of_channel(r->setup.instruments, r->setup.n_instruments, ch);
    return in == NULL || counts_pulses(r, ch) ? NULL : in->unit;
}

static double as_stated(const struct unit *unit, double si)
{
    return unit == NULL ? si : (si - unit->offset) / unit->scale;
}

/* A column of pulses is counted as it stands. */
static const char *unit_of(const struct reduction *r, enum channel ch)
{
    const struct unit *unit = unit_stated(r, ch);
    return counts_pulses(r, ch) ? "pulses"
           : unit != NULL       ? unit->name
                                : dimension_si(channel_row(ch)->dimension);
}

static bool channel_rows(const struct reduction *r, struct table *table, struct faults *faults)
{
    for (int ch = 0; ch < CH_LOGGED; ch++) {
        const struct log_account *account = log_set_account(&r->logs, (enum channel)ch);
        const struct log_channel *channel = &account->channels[ch];
        if (!channel->present)
            continue;
        const struct unit *unit = unit_stated(r, (enum channel)ch);
        for (int flag = 0; flag < FLAG_COUNT; flag++) {
            char place[TEXT_SIZE];
            if (channel->count[flag] == 0)
                continue;
            struct cell cells[] = {
                cell_text(channel_row((enum channel)ch)->word),
                cell_text(channel->column),
                cell_text(flag_word((enum reading_flag)flag)),
                cell_number((double)channel->count[flag]),
                cell_text(flag == FLAG_GOOD ? "" : first_place(account, &channel->first[flag],
                                                               place, sizeof place)),
                cell_number(flag == FLAG_GOOD ? as_stated(unit, channel->least_si) : NAN),
                cell_number(flag == FLAG_GOOD ? as_stated(unit, channel->most_si) : NAN),
                cell_text(flag == FLAG_GOOD ? unit_of(r, (enum channel)ch) : ""),
            };
            if (!table_row(table, cells, faults))
                return false;
        }
    }
    return true;
}

static bool channel_table(const struct reduction *r, struct document *doc,
                          struct faults *faults)
{
    struct column columns[] = {
        {.id = "channel", .label = "channel", .unit = "", .kind = CELL_TEXT},
        {.id = "column", .label = "column", .unit = "", .kind = CELL_TEXT},
        {.id = "flag", .label = "flag", .unit = "", .kind = CELL_TEXT},
        {.id = "readings", .label = "readings", .unit = "", .kind = CELL_NUMBER, .digits = 0},
        {.id = "first", .label = "first", .unit = "", .kind = CELL_TEXT},
        {.id = "least", .label = "least", .unit = "", .kind = CELL_NUMBER, .digits = 3},
        {.id = "most", .label = "most", .unit = "", .kind = CELL_NUMBER, .digits = 3},
        {.id = "unit", .label = "unit", .unit = "", .kind = CELL_TEXT},
    };
    struct table *table =
        document_table(doc, "channels", "Readings by channel and flag",
                       "Every reading of a used row is counted once; only good ones are used.",
                       columns, sizeof columns / sizeof columns[0], faults);
    if (table == NULL)
        return false;
    table->report = true;
    return channel_rows(r, table, faults);
}

static bool row_findings(const struct log_set *logs, size_t i, struct document *doc,
                         struct faults *faults)
{
    const struct log_account *account = &logs->account[i];
    char prefix[TEXT_SIZE];
    log_set_prefix(logs, i, prefix, sizeof prefix);
    char read[32], used[32], place[TEXT_SIZE];
    words_number(account->rows_read, read, sizeof read);
    words_number(account->rows_used, used, sizeof used);
    if (!document_finding(doc, FINDING_LOG, false, faults, "%s%s rows read, %s used.", prefix, read,
                          used))
        return false;
    for (int k = 0; k < ROW_REFUSALS; k++) {
        if (account->refused[k] == 0)
            continue;
        first_place(account, &account->first_refused[k], place, sizeof place);
        if (!document_finding(doc, FINDING_LOG, !row_refusal_is_plain((enum row_refusal)k), faults,
                              "%s%" PRIu64 " row%s set aside: %s; the first is %s.", prefix,
                              account->refused[k], account->refused[k] == 1 ? "" : "s",
                              row_refusal_words((enum row_refusal)k), place))
            return false;
    }
    return true;
}

/* A named zone: the database's edition, and what became of its changes. */
static bool zone_findings(const struct log_set *logs, size_t i, struct document *doc,
                          struct faults *faults)
{
    const struct log_account *account = &logs->account[i];
    const struct zone *zone = logs->plan[i].zone;
    char at[40], before[TEXT_SIZE], after[TEXT_SIZE], prefix[TEXT_SIZE];
    log_set_prefix(logs, i, prefix, sizeof prefix);
    if (zone == NULL || zone->name[0] == '\0')
        return true;
    if (!document_finding(doc, FINDING_LOG, false, faults,
                          "%sThe clock's zone is %s, by the time-zone database%s%s.", prefix,
                          zone->name, zone->database[0] == '\0' ? "" : " of edition ",
                          zone->database))
        return false;
    const struct zone_change *change =
        zone_change_within(zone, account->first_us, account->last_us);
    for (int told = 0; change != NULL && told < CHANGES_TOLD; told++) {
        int64_t at_us = change->at_s * US_PER_S;
        bool back = change->offset_s < zone_offset_s(zone, at_us - 1);
        if (!document_finding(doc, FINDING_LOG, false, faults, "%sThe clock is put %s to %s.",
                              prefix, back ? "back" : "forward",
                              zone_iso(zone, at_us, at, sizeof at)))
            return false;
        change = zone_change_within(zone, at_us, account->last_us);
    }
    if (account->falls == 0)
        return true;
    return document_finding(
        doc, FINDING_LOG, false, faults,
        "%sThe hour that it shows twice is told apart by the order of the rows, "
        "which fall back%s between %s and %s.",
        prefix, account->falls > 1 ? " for the first time" : "",
        first_place(account, &account->before_fall, before, sizeof before),
        first_place(account, &account->after_fall, after, sizeof after));
}

static int compare_lengths(const void *a, const void *b)
{
    int64_t x = *(const int64_t *)a, y = *(const int64_t *)b;
    return (x > y) - (x < y);
}

/* The step of rows that come more slowly than the log's own, by its first gaps: many of one length,
 * with a single row between them. How many of the log's steps that is does not matter, but no window
 * is made of rows further apart than it is long. 0: there are none. */
static int64_t slower_step_us(const struct log_account *account, double window_s)
{
    int64_t length[LOG_GAPS_KEPT];
    size_t n = 0, alike = 0;
    for (size_t k = 1; k < account->n_first_gaps; k++) {
        const struct log_gap *gap = &account->first_gaps[k];
        int64_t gap_us = gap->to_us - gap->from_us;
        if (gap->from_us == gap[-1].to_us && (double)gap_us <= 1e6 * window_s)
            length[n++] = gap_us;
    }
    if (n < SLOWER_LEAST)
        return 0;
    qsort(length, n, sizeof length[0], compare_lengths);
    int64_t middle = length[n / 2];
    for (size_t k = 0; k < n; k++)
        alike += 5 * llabs(length[k] - middle) <= middle;
    return 5 * alike >= 4 * n ? middle : 0;
}

/* Rows that stand alone because they come more slowly than others. Slots as the rules have them serve
 * rows that come as fast as that: shorter ones would hold a single reading each. */
static bool slower_finding(const struct reduction *r, const struct log_account *account,
                           const char *prefix, struct document *doc, struct faults *faults)
{
    const struct rule *rule = r->rules.rule;
    char often[40], seldom[40], slot[64] = "lets";
    int64_t slow_us = slower_step_us(account, rule[RULE_WINDOW].value.high);
    double slow_s = 1e-6 * (double)slow_us;
    if (slow_us == 0)
        return true;
    if (slow_s > rule[RULE_SLOT].value.high)
        snprintf(slot, sizeof slot, "and 'slot = %.6g s' in [steady state] let", slow_s);
    return document_finding(doc, FINDING_WINDOWS, true, faults,
                            "%sIn part of the log a row comes every %s, in other parts only every %s: "
                            "these rows stand alone, and no window holds them. 'gap = %.6g s' in [log] "
                            "%s them count.",
                            prefix,
                            words_duration((double)account->step_us / 1e6, often, sizeof often),
                            words_duration(slow_s, seldom, sizeof seldom), 1.5 * slow_s, slot);
}

/* Those, and a leap of a year or so. */
static bool gap_findings(const struct reduction *r, size_t i, const char *prefix,
                         struct document *doc, struct faults *faults)
{
    const struct log_set *logs = &r->logs;
    const struct log_account *account = &logs->account[i];
    const struct log_gap *longest = &account->longest;
    char from[40], to[40];
    if (!slower_finding(r, account, prefix, doc, faults))
        return false;
    if (longest->to_us - longest->from_us <= LEAP_DAYS * S_PER_DAY * US_PER_S)
        return true;
    zone_iso(logs->plan[i].zone, longest->from_us, from, sizeof from);
    zone_iso(logs->plan[i].zone, longest->to_us, to, sizeof to);
    return document_finding(doc, FINDING_WINDOWS, true, faults,
                            "%sThe log leaps from %s to %s, and all of it counts as one test: is the "
                            "year of the stamps on both sides right?",
                            prefix, from, to);
}

static bool clock_findings(const struct reduction *r, size_t i, struct document *doc,
                           struct faults *faults)
{
    const struct log_set *logs = &r->logs;
    const struct log_account *account = &logs->account[i];
    const struct zone *zone = logs->plan[i].zone;
    char from[40], to[40], step[32], longest[32], prefix[TEXT_SIZE];
    log_set_prefix(logs, i, prefix, sizeof prefix);
    zone_iso(zone, account->first_us, from, sizeof from);
    zone_iso(zone, account->last_us, to, sizeof to);
    snprintf(step, sizeof step, "%.6g s", (double)account->step_us / 1e6);
    if (!document_finding(doc, FINDING_LOG, false, faults,
                          "%sThe log runs from %s to %s, a row every %s.", prefix, from, to, step))
        return false;
    if (!zone_findings(logs, i, doc, faults))
        return false;
    if (account->gaps == 0)
        return true;
    words_duration((double)(account->longest.to_us - account->longest.from_us) / 1e6, longest,
                   sizeof longest);
    zone_iso(zone, account->longest.from_us, from, sizeof from);
    return document_finding(doc, FINDING_LOG, false, faults,
                            "%s%" PRIu64 " gap%s in time; the longest, %s, begins after %s.",
                            prefix, account->gaps, account->gaps == 1 ? "" : "s", longest, from) &&
           gap_findings(r, i, prefix, doc, faults);
}

/* What the efficiency rests on, and no weather leaves alone: told on the first screen. A bath may hold
 * its inlet so well that a coarse thermometer never moves. */
static bool is_needed(enum channel channel)
{
    return channel == CH_FLOW || channel == CH_MASS_FLOW || channel == CH_IRRADIANCE ||
           channel == CH_AMBIENT || channel == CH_OUTLET;
}

/* A column that never changes may be typed in, or its sensor dead. */
static bool constant_findings(const struct log_set *logs, size_t i, struct document *doc,
                              struct faults *faults)
{
    for (size_t k = 0; k < logs->plan[i].n_columns; k++) {
        const struct log_column *column = &logs->plan[i].columns[k];
        const struct log_channel *channel = &logs->account[i].channels[column->channel];
        char value[QUOTED_SIZE], number[32];
        if (channel->count[FLAG_GOOD] < SAME_LEAST || channel->most_si > channel->least_si ||
            channel_row(column->channel)->dimension == DIM_ANGLE ||
            reduction_is_coarse(column, channel))
            continue;
        value_text(column, channel->least_si, value);
        words_number(channel->count[FLAG_GOOD], number, sizeof number);
        bool needed = is_needed(column->channel);
        if (!document_finding(doc, needed ? FINDING_READINGS : FINDING_DETAIL, true, faults,
                              "Column '%s' (%s) reads %s in all of its %s good rows: is the sensor "
                              "alive? A figure that was typed in is no measurement%s.",
                              column->name, channel_row(column->channel)->word, value, number,
                              needed ? ", and what it is off by, all the points are off by" : ""))
            return false;
    }
    return true;
}

/* Channels that some rule or a reader would like to have. */
static bool not_measured(const struct reduction *r, struct document *doc, struct faults *faults)
{
    static const struct {
        enum channel channel;
        const char *words;
    } wished[] = {{CH_FLOW, "flow through the collector"},
                  {CH_WIND, "wind over the collector"},
                  {CH_DIFFUSE, "diffuse share of the sunshine"},
                  {CH_INCIDENCE, "angle of incidence"}};
    struct text text = {0};
    size_t n = 0;
    for (size_t i = 0; i < sizeof wished / sizeof wished[0]; i++) {
        bool has = r->from_log ? r->finder.slots.present[wished[i].channel]
                               : wished[i].channel == CH_FLOW; /* what a table needs it has */
        for (size_t k = 0; k < r->means.n && !has; k++)
            has = r->means.items[k].has[wished[i].channel] ||
                  (wished[i].channel == CH_DIFFUSE &&
                   r->means.items[k].sun.share == SHARE_ESTIMATED);
        n += !has;
        if (!has)
            text_addf(&text, "%s%s", text.length > 0 ? ", " : "", wished[i].words);
    }
    bool good = text_ok(&text, faults);
    if (good && text.length > 0)
        good = document_finding(doc, FINDING_NOT_STATED, true, faults,
                                "Not measured: %s. Limits on %s were not judged.",
                                text_string(&text), n > 1 ? "them" : "it");
    text_free(&text);
    return good;
}

static void wish(struct text *text, bool stated, const char *words)
{
    if (!stated)
        text_addf(text, "%s%s", text->length > 0 ? ", " : "", words);
}

static bool not_stated(const struct reduction *r, struct document *doc, struct faults *faults)
{
    const struct test_setup *setup = &r->setup;
    struct text text = {0};
    wish(&text, r->angles.lamp || site_has_place(&setup->site), "place (latitude and longitude)");
    bool follows = setup->site.mount.at.given && setup->site.mount.index == SITE_TWO_AXES;
    wish(&text, follows || setup->site.tilt_rad.at.given, "tilt");
    wish(&text, follows || r->angles.lamp || setup->site.azimuth_rad.at.given,
         "direction that it faces");
    for (size_t i = 0; i < setup->n_instruments; i++) {
        char id[TEXT_SIZE];
        snprintf(id, sizeof id, "id of '%.60s'", setup->instruments[i].name);
        wish(&text, setup->instruments[i].id.at.given, id);
    }
    bool good = text_ok(&text, faults);
    if (good && text.length > 0)
        good = document_finding(doc, FINDING_NOT_STATED, false, faults, "%s.",
                                text_string(&text));
    text_free(&text);
    return good;
}

static bool log_findings(const struct reduction *r, struct document *doc, struct faults *faults)
{
    const struct log_set *logs = &r->logs;
    for (size_t i = 0; i < logs->n; i++)
        if (!row_findings(logs, i, doc, faults) || !clock_findings(r, i, doc, faults) ||
            !reduction_timing(logs, i, doc, faults) ||
            !reduction_coarse(logs, i, doc, faults) || !constant_findings(logs, i, doc, faults))
            return false;
    return reduction_join(r, doc, faults) && channel_table(r, doc, faults);
}

/* Once, where UTC and the log's clock differ: which time is which. */
static bool names_finding(const struct reduction *r, struct document *doc, struct faults *faults)
{
    const struct zone *zone = log_set_zone(&r->logs);
    char at[40];
    if (r->means.n == 0 || zone_offset_s(zone, r->means.items[0].start_us) == 0)
        return true;
    return document_finding(doc, FINDING_LOG, false, faults,
                            "Times: a window's name is its start in UTC, with a Z at its end, and "
                            "all CSV files have UTC; sentences and figures go by the log's clock. "
                            "Window '%s' begins at %s by that; 'leave out' takes either.",
                            r->means.items[0].name,
                            zone_iso(zone, r->means.items[0].start_us, at, sizeof at));
}

bool reduction_readings(const struct reduction *r, struct document *doc, struct faults *faults)
{
    if (r->from_log && (!log_findings(r, doc, faults) || !names_finding(r, doc, faults)))
        return false;
    return not_measured(r, doc, faults) && not_stated(r, doc, faults);
}
