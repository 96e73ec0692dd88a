/* What meters that give pulses or a total can tell, and what their counters did. */
#include "base/files.h"
#include "run/reduction_document.h"
#include "run/words.h"

#include <math.h>
#include <stdio.h>

enum { AT_SIZE = 96 };

static const char *meter_word(const struct pulses *pulses)
{
    return pulses->meter.form == PULSES_TOTAL ? "total" : "counter";
}

/* "1 time (2026-06-21T10:04:30Z)", "3 times (first 2026-...)" */
static const char *times(const struct reduction *r, const struct pulses_event *event,
                         char out[AT_SIZE])
{
    char at[40];
    zone_iso(log_set_zone(&r->logs), event->first_us, at, sizeof at);
    snprintf(out, AT_SIZE, "%zu time%s (%s%s)", event->n, event->n == 1 ? "" : "s",
             event->n == 1 ? "" : "first ", at);
    return out;
}

static const char *const owners[COUNTED] = {"flow meter", "heat meter"};

static bool say_counter(const struct reduction *r, enum counted_kind counted, struct document *doc,
                        struct faults *faults)
{
    const struct pulses *pulses = &r->pulses[counted];
    const char *owner = owners[counted], *meter = meter_word(pulses);
    char when[AT_SIZE];
    if (pulses->wraps.n > 0 &&
        !document_finding(doc, FINDING_LOG, false, faults,
                          "The %s's %s ran over its end %s and began anew; nothing "
                          "was lost.",
                          owner, meter, times(r, &pulses->wraps, when)))
        return false;
    if (pulses->plays.n > 0 &&
        !document_finding(doc, FINDING_LOG, false, faults,
                          "The %s's total fell by one step %s: its last digit plays, and it "
                          "counts as standing still.",
                          owner, times(r, &pulses->plays, when)))
        return false;
    if (pulses->negatives.n > 0 &&
        !document_finding(doc, FINDING_LOG, true, faults,
                          "The %s's %s is below 0 %s, and neither behind the end of a register "
                          "with a sign nor rising: such rows are not used. If the logger means "
                          "'no reading' by it, add it to 'missing' in [log].",
                          owner, meter, times(r, &pulses->negatives, when)))
        return false;
    return pulses->resets.n == 0 ||
           document_finding(doc, FINDING_LOG, true, faults,
                            "The %s's %s fell back %s, not at its end: it was reset. What "
                            "came through in those rows is not known, and they are not used.",
                            owner, meter, times(r, &pulses->resets, when));
}

/* The slowest of the windows' rates, and the largest share of it that its edges leave unsure. */
static void coarsest(const struct means_list *list, enum channel channel, double *rate,
                     double *share)
{
    *rate = INFINITY;
    *share = 0.0;
    for (size_t i = 0; i < list->n; i++) {
        if (!list->items[i].has[channel])
            continue;
        double mean = list->items[i].mean[channel];
        *rate = fmin(*rate, mean);
        *share = fmax(*share, list->items[i].u[channel] / mean);
    }
}

/* "In a slot of 30 s", or of less where rows do not fill it. */
static const char *slot_words(const struct reduction *r, char out[AT_SIZE])
{
    double slot_s = r->finder.sliding.slot_s, span_s = r->finder.span_s;
    if (span_s < 0.99 * slot_s)
        snprintf(out, AT_SIZE, "In a slot whose rows span %.0f s", span_s);
    else
        snprintf(out, AT_SIZE, "In a slot of %.0f s", slot_s);
    return out;
}

static bool say_steps(const struct reduction *r, struct document *doc, struct faults *faults)
{
    double flow_m3_s, share;
    coarsest(&r->means, CH_FLOW, &flow_m3_s, &share);
    if (!isfinite(flow_m3_s))
        return true;
    double step = r->finder.step[COUNTED_FLOW] / r->finder.span_s / flow_m3_s;
    const struct rule_value *limit = &r->rules.rule[RULE_FLOW_DEVIATION].value;
    bool coarse = limit->on && step > limit->high;
    bool total = r->pulses[COUNTED_FLOW].meter.form == PULSES_TOTAL;
    char volume[32], sure[32], of_flow[32], slot[AT_SIZE];
    return document_finding(
        doc, FINDING_LOG, coarse, faults,
        "%s of %s, in each window from the first to the last: its mean is sure to %s %% (one "
        "standard uncertainty, counted). %s one %s is %s %% of the flow%s.",
        total ? "The flow is how fast a total rises, which moves by steps"
              : "The flow is counted in pulses",
        words_volume(r->finder.step[COUNTED_FLOW], volume, sizeof volume),
        words_rough_percent(share, sure, sizeof sure), slot_words(r, slot),
        total ? "step" : "pulse", words_rough_percent(step, of_flow, sizeof of_flow),
        coarse ? ": its steadiness is not judged finer than that. A longer 'slot' in [steady "
                 "state] would tell"
               : "");
}

/* What a total of energy moves by, in the unit in which it is stated. */
static bool say_heat_steps(const struct reduction *r, struct document *doc, struct faults *faults)
{
    const struct instrument *in =
        instrument_of_channel(r->setup.instruments, r->setup.n_instruments, CH_METERED);
    double heat_W, share;
    char sure[32];
    coarsest(&r->means, CH_METERED, &heat_W, &share);
    if (!isfinite(heat_W))
        return true;
    return document_finding(doc, FINDING_LOG, false, faults,
                            "The metered heat is how fast a total rises, which moves by steps of "
                            "%.3g %s, in each window from the first to the last: its mean is sure "
                            "to %s %% (one standard uncertainty, counted).",
                            r->finder.step[COUNTED_HEAT] / in->unit->scale, in->unit->name,
                            words_rough_percent(share, sure, sizeof sure));
}

/* Why most rows were set aside whose pulses are lost. */
static enum row_refusal lost_mostly(const struct log_account *account)
{
    int most = ROW_BAD_LINE;
    for (int k = 0; k < ROW_REFUSALS; k++)
        if (!row_refusal_is_plain((enum row_refusal)k) &&
            account->refused[k] > account->refused[most])
            most = k;
    return (enum row_refusal)most;
}

/* Rows whose pulses since the row before are not known, because that was set aside. Where these are
 * most rows no window is left, and the first screen says so. */
static bool say_after_lost(const struct reduction *r, struct document *doc, struct faults *faults)
{
    const struct log_account *account = log_set_account(&r->logs, CH_FLOW);
    const struct log_channel *channel = &account->channels[CH_FLOW];
    const struct log_place *first = &channel->first[FLAG_AFTER_LOST];
    uint64_t n = channel->count[FLAG_AFTER_LOST];
    enum row_refusal why = lost_mostly(account);
    char rows[32];
    if (n == 0)
        return true;
    words_number(n, rows, sizeof rows);
    return document_finding(
        doc, 2 * n > account->rows_used ? FINDING_CANNOT : FINDING_LOG, true, faults,
        "What the flow meter counted is not known in %s row%s (%s%s:%ld): it "
        "counts from row to row, and the row before was set aside (mostly: "
        "%s). They are not used. A counter that only rises would lose "
        "nothing%s.",
        rows, n == 1 ? "" : "s", n == 1 ? "" : "first ",
        path_base(account->files[first->file].path), first->line, row_refusal_words(why),
        why == ROW_DUPLICATE ? "; where each stamp stands over as many rows, "
                               "'rows per stamp' in [log] takes them all"
                             : "");
}

/* Of a mean over rows, as no meter counts; our own figure. */
enum { ROWS_A_FRACTION = 20 };

/* What no log of such counts can tell, unless they betray themselves. */
static bool say_since_row(const struct reduction *r, struct document *doc, struct faults *faults)
{
    const struct pulses *pulses = &r->pulses[COUNTED_FLOW];
    const struct instrument *in =
        instrument_of_channel(r->setup.instruments, r->setup.n_instruments, CH_FLOW);
    if (pulses->meter.form != PULSES_PER_ROW || r->means.n == 0)
        return true;
    bool plain = fabs(in->gain_value - 1.0) < 1e-12 && fabs(in->add_value) < 1e-12;
    if (plain && pulses->fractions * ROWS_A_FRACTION > pulses->good)
        return document_finding(
            doc, FINDING_CANNOT, true, faults,
            "Pulses are whole numbers, but column '%s' has fractions in %zu of %zu rows, as means "
            "over rows have. A row must hold the sum of all pulses since the row before: a mean "
            "over two rows makes half of the flow, and of the efficiency.",
            in->column.text, pulses->fractions, pulses->good);
    return document_finding(doc, FINDING_CANNOT, false, faults,
                            "Whether each row holds all pulses since the row before cannot be told "
                            "from counts per row: a log that was thinned or averaged has lost the "
                            "others, and its efficiency is too low by as much.");
}

/* Rows that are not in the log, and may have taken pulses along. */
static bool say_holes(const struct reduction *r, struct document *doc, struct faults *faults)
{
    const struct pulses_event *holes = &r->pulses[COUNTED_FLOW].holes;
    char when[AT_SIZE];
    return holes->n == 0 ||
           document_finding(doc, FINDING_LOG, true, faults,
                            "Rows are absent from the log %s, and the pulses of the row behind "
                            "are no more than one step brings: what came in between is not "
                            "known, and that row is not used.",
                            times(r, holes, when));
}

static bool say_flow(const struct reduction *r, struct document *doc, struct faults *faults)
{
    const struct pulse_meter *meter = &r->pulses[COUNTED_FLOW].meter;
    if (meter->form == PULSES_NONE)
        return true;
    char volume[32];
    if (meter->form == PULSES_RATE)
        return document_finding(doc, FINDING_LOG, false, faults,
                                "The flow is %s a pulse times the logged frequency; the "
                                "logger's steps are not known here ('resolution' would state "
                                "them).",
                                words_volume(meter->per_pulse, volume, sizeof volume));
    return say_counter(r, COUNTED_FLOW, doc, faults) && say_after_lost(r, doc, faults) &&
           say_holes(r, doc, faults) && say_since_row(r, doc, faults) && say_steps(r, doc, faults);
}

bool reduction_pulses(const struct reduction *r, struct document *doc, struct faults *faults)
{
    return say_flow(r, doc, faults) &&
           (r->pulses[COUNTED_HEAT].meter.form == PULSES_NONE ||
            (say_counter(r, COUNTED_HEAT, doc, faults) && say_heat_steps(r, doc, faults)));
}
