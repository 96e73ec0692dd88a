/* Timelines: one figure a local day. */
#include "base/calendar.h"
#include "run/reduction_document.h"
#include "run/words.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { DAYS_MAX = 10, LANES_MAX = 8, COLUMNS = 19 };

/* What refuses: a limit, or one of these. */
enum { REASON_SHORT = RULE_LIMITS, REASON_BROKEN, REASON_CONDITIONING, REASON_EXCLUDED, REASONS };

/* One day's picture. */
struct day {
    const struct reduction *r;
    int64_t from_us; /* bins, windows and refusals that touch [from, to) belong to it */
    int64_t to_us;
    int64_t offset_s;     /* of the clock at its noon: one for the whole axis */
    int lane_of[REASONS]; /* 0: not shown */
    int lanes;
};

static double local_s(const struct day *day, int64_t time_us)
{
    return (double)time_us / 1e6 + (double)day->offset_s;
}

static bool touches(const struct day *day, int64_t start_us, int64_t end_us)
{
    return start_us < day->to_us && end_us > day->from_us;
}

static int reason_index(const struct refusal *refusal)
{
    if (refusal->reason == REFUSAL_SHORT)
        return REASON_SHORT;
    if (refusal->reason == REFUSAL_CONDITIONING)
        return REASON_CONDITIONING;
    if (refusal->reason == REFUSAL_EXCLUDED)
        return REASON_EXCLUDED;
    if (refusal->reason == REFUSAL_BROKEN || refusal->limit >= RULE_LIMITS)
        return REASON_BROKEN;
    return (int)refusal->limit;
}

static const char *reason_label(int index)
{
    static const char *const words[] = {"too short", "readings missing or bad", "conditioning",
                                        "excluded"};
    return index < RULE_LIMITS ? rule_row((enum rule_id)index)->key : words[index - RULE_LIMITS];
}

/* Gives lanes to the limits that refused on this day, in the order of the table of rules. What the
 * description excludes is always shown. */
static void set_lanes(struct day *day)
{
    const struct refusals *f = &day->r->finder.refusals;
    bool seen[REASONS] = {false};
    for (size_t i = 0; i < f->n_kept; i++)
        if (touches(day, f->kept[i].start_us, f->kept[i].end_us))
            seen[reason_index(&f->kept[i])] = true;
    day->lanes = 0;
    memset(day->lane_of, 0, sizeof day->lane_of);
    int most = seen[REASON_EXCLUDED] ? LANES_MAX - 1 : LANES_MAX;
    for (int k = 0; k < REASON_EXCLUDED && day->lanes < most; k++)
        if (seen[k])
            day->lane_of[k] = ++day->lanes;
    if (seen[REASON_EXCLUDED])
        day->lane_of[REASON_EXCLUDED] = ++day->lanes;
}

static void blank_row(struct cell *cells, const char *part, double start_s, double end_s)
{
    cells[0] = cell_text(part);
    cells[1] = cell_number(start_s);
    cells[2] = cell_number(end_s);
    for (int k = 3; k < COLUMNS; k++)
        cells[k] = cell_number(NAN);
}

static void put_envelope(struct cell *cells, const struct timeline *t, size_t bin,
                         enum channel channel, double scale)
{
    const struct timeline_cell *cell = &t->bins[bin].cell[channel];
    if (cell->good == 0)
        return;
    cells[0] = cell_number(cell->least * scale);
    cells[1] = cell_number(timeline_mean(t, bin, channel) * scale);
    cells[2] = cell_number(cell->most * scale);
}

/* Where a bin's part of the line ends: at the next bin with readings unless the log has a gap
 * between. A slow logger leaves bins empty that are no gaps. */
static int64_t bin_end_us(const struct reduction *r, size_t bin)
{
    const struct timeline *t = &r->timeline;
    int64_t start = timeline_bin_start_us(t, bin);
    for (size_t next = bin + 1; next < t->n; next++) {
        if (t->bins[next].rows == 0)
            continue;
        int64_t from = timeline_bin_start_us(t, next);
        return t->bins[next].gap || from - start > r->logs.joined.gap_us + t->width_us
                   ? start + t->width_us
                   : from;
    }
    return start + t->width_us;
}

static bool bin_rows(const struct day *day, struct table *table, struct faults *faults)
{
    static const double L_MIN_PER_M3_S = 60000;
    const struct timeline *t = &day->r->timeline;
    for (size_t bin = 0; bin < t->n; bin++) {
        int64_t start = timeline_bin_start_us(t, bin);
        if (t->bins[bin].rows == 0 || !touches(day, start, start + t->width_us))
            continue;
        struct cell cells[COLUMNS];
        blank_row(cells, "bin", local_s(day, start), local_s(day, bin_end_us(day->r, bin)));
        put_envelope(cells + 4, t, bin, CH_IRRADIANCE, 1);
        put_envelope(cells + 7, t, bin, CH_AMBIENT, 1);
        put_envelope(cells + 10, t, bin, CH_INLET, 1);
        put_envelope(cells + 13, t, bin, CH_OUTLET, 1);
        put_envelope(cells + 16, t, bin, CH_FLOW, L_MIN_PER_M3_S);
        if (!table_row(table, cells, faults))
            return false;
    }
    return true;
}

static bool window_rows(const struct day *day, struct table *table, struct faults *faults)
{
    const struct means_list *list = &day->r->means;
    for (size_t i = 0; i < list->n; i++) {
        const struct means *means = &list->items[i];
        if (!touches(day, means->start_us, means->end_us))
            continue;
        struct cell cells[COLUMNS];
        blank_row(cells, "window", local_s(day, means->start_us), local_s(day, means->end_us));
        if (!table_row(table, cells, faults))
            return false;
    }
    return true;
}

static bool refused_rows(const struct day *day, struct table *table, struct faults *faults)
{
    const struct refusals *f = &day->r->finder.refusals;
    for (size_t i = 0; i < f->n_kept; i++) {
        const struct refusal *refusal = &f->kept[i];
        int lane = day->lane_of[reason_index(refusal)];
        if (lane == 0 || !touches(day, refusal->start_us, refusal->end_us))
            continue;
        struct cell cells[COLUMNS];
        blank_row(cells, "refused", local_s(day, refusal->start_us),
                  local_s(day, refusal->end_us));
        cells[3] = cell_number(lane);
        if (!table_row(table, cells, faults))
            return false;
    }
    return true;
}

static struct table *day_table(struct document *doc, const char *id, struct faults *faults)
{
    static const char *const ids[COLUMNS] = {
        "part",   "start_s", "end_s",  "lane",    "g_min",   "g_mean",   "g_max",
        "amb_min", "amb_mean", "amb_max", "in_min", "in_mean", "in_max", "out_min",
        "out_mean", "out_max", "flow_min", "flow_mean", "flow_max"};
    struct column columns[COLUMNS];
    for (int k = 0; k < COLUMNS; k++)
        columns[k] = (struct column){.id = (char *)ids[k],
                                     .label = (char *)ids[k],
                                     .unit = "",
                                     .kind = k == 0 ? CELL_TEXT : CELL_NUMBER,
                                     .digits = 2};
    return document_table(doc, id, "Timeline", "Envelope of the readings; times are local.",
                          columns, COLUMNS, faults);
}

static size_t windows_of(const struct day *day)
{
    size_t n = 0;
    for (size_t i = 0; i < day->r->means.n; i++)
        n += touches(day, day->r->means.items[i].start_us, day->r->means.items[i].end_us);
    return n;
}

static bool day_figure(struct day *day, int number, struct document *doc, struct faults *faults)
{
    char id[32], title[160], alt[200], date[40], count[40], name[32], x_label[128];
    char zone[ZONE_NAME_SIZE];
    snprintf(id, sizeof id, "timeline_%d", number);
    zone_plain(log_set_zone(&day->r->logs), day->from_us, date, sizeof date);
    date[10] = '\0'; /* the date alone */
    words_count(windows_of(day), "steady window", count, sizeof count);
    snprintf(title, sizeof title, "%s: %s", date, count);
    snprintf(alt, sizeof alt,
             "Readings of %s over the day, with %s shaded and refused stretches coloured by the "
             "limit that refused them.",
             date, count);
    bool changed =
        zone_change_within(log_set_zone(&day->r->logs), day->from_us, day->to_us - 1) != NULL;
    set_lanes(day);
    struct table *table = day_table(doc, id, faults);
    if (table == NULL || !bin_rows(day, table, faults) || !window_rows(day, table, faults) ||
        !refused_rows(day, table, faults))
        return false;
    struct figure *figure = document_figure(doc, id, "timeline", title, alt, id, faults);
    snprintf(x_label, sizeof x_label, "%s, clock of the log (%s%s)", date,
             words_zone(log_set_zone(&day->r->logs), zone, sizeof zone),
             changed ? ", as at noon" : "");
    if (figure == NULL || !figure_set_number(figure, "lanes", day->lanes, faults) ||
        !figure_set_text(figure, "x_label", x_label, faults) ||
        !figure_set_text(figure, "flow_label", "flow (L/min)", faults))
        return false;
    for (int k = 0; k < REASONS; k++) {
        snprintf(name, sizeof name, "lane_%d", day->lane_of[k]);
        if (day->lane_of[k] > 0 && !figure_set_text(figure, name, reason_label(k), faults))
            return false;
    }
    return true;
}

/* Whether a day holds any reading. */
static bool has_rows(const struct day *day)
{
    const struct timeline *t = &day->r->timeline;
    for (size_t bin = 0; bin < t->n; bin++) {
        int64_t start = timeline_bin_start_us(t, bin);
        if (t->bins[bin].rows > 0 && start >= day->from_us && start < day->to_us)
            return true;
    }
    return false;
}

bool reduction_timelines(const struct reduction *r, struct document *doc, struct faults *faults)
{
    if (!r->from_log || r->timeline.n == 0)
        return true;
    int64_t first = zone_day(log_set_zone(&r->logs), r->logs.joined.first_us);
    int64_t last = zone_day(log_set_zone(&r->logs), r->logs.joined.last_us);
    int number = 0;
    for (int64_t d = first; d <= last && number < DAYS_MAX; d++) {
        struct day day = {.r = r,
                          .from_us = zone_day_us(log_set_zone(&r->logs), d),
                          .to_us = zone_day_us(log_set_zone(&r->logs), d + 1)};
        day.offset_s =
            zone_offset_s(log_set_zone(&r->logs), day.from_us + (day.to_us - day.from_us) / 2);
        if (has_rows(&day) && !day_figure(&day, ++number, doc, faults))
            return false;
    }
    if (number < DAYS_MAX || last - first < DAYS_MAX)
        return true;
    return document_finding(doc, FINDING_LOG, false, faults,
                            "Timelines are drawn for the first %d days with readings.", DAYS_MAX);
}
