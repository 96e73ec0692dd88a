/* What a report must name and no log can tell: client, item, signatory; serials and certificates.
 */
#include "base/calendar.h"
#include "base/numbers.h"
#include "domain/error_ageing.h"
#include "run/reduction_document.h"

#include <inttypes.h>

#define UNKNOWN_DAY INT64_MIN

static const char *or_not_stated(const struct stated_text *text)
{
    return text->at.given ? text->text : "not stated";
}

static bool report_facts(const struct report_section *report, struct document *doc,
                         struct faults *faults)
{
    const struct {
        const char *key;
        const struct stated_text *text;
    } rows[] = {{"number", &report->number},
                {"client", &report->client},
                {"item", &report->item},
                {"laboratory", &report->laboratory},
                {"signatory", &report->signatory}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        if (!document_fact(doc, DOCUMENT_PAPERWORK, rows[i].key, faults, "%s",
                           or_not_stated(rows[i].text)))
            return false;
    for (size_t i = 0; i < report->remarks.n; i++)
        if (!document_fact(doc, DOCUMENT_PAPERWORK, "remark", faults, "%s",
                           report->remarks.items[i].text))
            return false;
    return report->remarks.n > 0 ||
           document_fact(doc, DOCUMENT_PAPERWORK, "remarks", faults, "not stated");
}

/* Local day on which the last reading was taken. */
static int64_t last_day(const struct reduction *r)
{
    if (r->from_log)
        return r->logs.joined.rows > 0 ? zone_day(log_set_zone(&r->logs), r->logs.joined.last_us)
                                       : UNKNOWN_DAY;
    int64_t last = UNKNOWN_DAY;
    for (size_t i = 0; i < r->means.n; i++)
        if (r->means.items[i].timed && calendar_day(r->means.items[i].end_us, 0) > last)
            last = calendar_day(r->means.items[i].end_us, 0);
    return last;
}

static bool say_due(const struct instrument *in, int64_t last, struct document *doc,
                    struct faults *faults)
{
    char date[40];
    if (!in->due.at.given)
        return true;
    if (last == UNKNOWN_DAY)
        return document_finding(doc, FINDING_DETAIL, false, faults,
                                "Whether the calibration of '%s' was overdue (due %s) is not "
                                "judged: the points have no times.",
                                in->name, in->due.text);
    if (last <= in->due.day)
        return true;
    calendar_iso(last * S_PER_DAY * US_PER_S, 0, date, sizeof date);
    date[10] = '\0';
    return document_finding(doc, FINDING_NOT_STATED, true, faults,
                            "The calibration of '%s' was due on %s; the test ended on %s, %" PRId64
                            " day%s later. Its error may be larger than its certificate says.",
                            in->name, in->due.text, date, last - in->due.day,
                            last - in->due.day == 1 ? "" : "s");
}

/* A drift that is not known since when. */
static bool say_age(const struct instrument *in, struct document *doc, struct faults *faults)
{
    if (in->calibrated.at.given || !in->measures.at.given || !(error_of_a_year(in) > 0))
        return true;
    return document_finding(doc, FINDING_DETAIL, false, faults,
                            "When '%s' was calibrated is not stated: its drift counts as that of "
                            "%.0f years. 'calibrated = YYYY-MM-DD' says it.",
                            in->name, AGEING_YEARS);
}

static const char *date_text(const struct stated_date *date)
{
    return date->at.given ? date->text : "not stated";
}

static bool has_papers(const struct instrument *in)
{
    return in->serial.at.given || in->certificate.at.given || in->calibrated.at.given ||
           in->due.at.given;
}

/* Whether the column's numbers are not the values themselves. */
static bool is_scaled(const struct instrument *in)
{
    return in->gain_value != 1 || in->add_value != 0 || in->signal.kind != SIGNAL_NONE;
}

/* As stated; a signal becomes what its sensitivity, resistance or table makes of it. */
static const char *unit_of_values(const struct instrument *in, char *out, size_t size)
{
    const char *unit = in->unit != NULL ? in->unit->name : in->unit_text.text;
    if (in->signal.kind == SIGNAL_TABLE)
        snprintf(out, size, "%s, by a table of %zu pairs", unit, in->signal.n);
    else if (in->signal.kind == SIGNAL_PLATINUM)
        snprintf(out, size, "ohm, to degC by Pt%.0f", in->signal.r0_ohm);
    else
        snprintf(out, size, "%s", in->sensitivity.at.given ? unit : in->unit_text.text);
    return out;
}

static bool instrument_row(const struct instrument *in, struct table *table, struct faults *faults)
{
    char gain[32], add[32], unit[NAME_SIZE + 200];
    bool own = is_scaled(in);
    struct cell cells[] = {cell_text(in->name),
                           cell_text(channel_row(in->channel)->word),
                           cell_text(or_not_stated(&in->serial)),
                           cell_text(or_not_stated(&in->certificate)),
                           cell_text(date_text(&in->calibrated)),
                           cell_text(date_text(&in->due)),
                           cell_text(own ? number_exact(in->gain_value, gain, sizeof gain) : ""),
                           cell_text(own ? number_exact(in->add_value, add, sizeof add) : ""),
                           cell_text(own ? unit_of_values(in, unit, sizeof unit) : "")};
    return table_row(table, cells, faults);
}

static bool instruments_table(const struct reduction *r, struct document *doc,
                              struct faults *faults)
{
    struct column columns[] = {
        {.id = "instrument", .label = "instrument", .unit = "", .kind = CELL_TEXT},
        {.id = "measures", .label = "measures", .unit = "", .kind = CELL_TEXT},
        {.id = "serial", .label = "serial", .unit = "", .kind = CELL_TEXT},
        {.id = "certificate", .label = "certificate", .unit = "", .kind = CELL_TEXT},
        {.id = "calibrated", .label = "calibrated", .unit = "", .kind = CELL_TEXT},
        {.id = "due", .label = "due", .unit = "", .kind = CELL_TEXT},
        {.id = "gain", .label = "gain", .unit = "", .kind = CELL_TEXT},
        {.id = "add", .label = "add", .unit = "", .kind = CELL_TEXT},
        {.id = "unit", .label = "in", .unit = "", .kind = CELL_TEXT},
    };
    enum { SCALING = 3 };
    bool any = false, scaled = false;
    for (size_t i = 0; i < r->setup.n_instruments; i++) {
        any |= has_papers(&r->setup.instruments[i]);
        scaled |= is_scaled(&r->setup.instruments[i]);
    }
    if (!any && !scaled)
        return true;
    struct table *table =
        document_table(doc, "certificates", "Instruments and their certificates",
                       scaled ? "value = gain * number in the log + add" : "", columns,
                       sizeof columns / sizeof columns[0] - (scaled ? 0 : SCALING), faults);
    if (table == NULL)
        return false;
    table->file = table->report = true;
    table->place = TABLE_INSTRUMENTS;
    for (size_t i = 0; i < r->setup.n_instruments; i++)
        if (!instrument_row(&r->setup.instruments[i], table, faults))
            return false;
    return true;
}

bool reduction_paperwork(const struct reduction *r, struct document *doc, struct faults *faults)
{
    if (!report_facts(&r->setup.report, doc, faults) || !instruments_table(r, doc, faults))
        return false;
    int64_t last = last_day(r);
    for (size_t i = 0; i < r->setup.n_instruments; i++)
        if (!say_due(&r->setup.instruments[i], last, doc, faults) ||
            !say_age(&r->setup.instruments[i], doc, faults))
            return false;
    return true;
}
