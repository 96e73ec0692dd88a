#include "base/calendar.h"
#include "run/reduction_document.h"
#include "run/words.h"
#include "window/rules_text.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { NEAR_RATIO = 2, FEW_WINDOWS = 3 };

static void rules_note(const struct rules *rules, struct text *note)
{
    text_addf(note, "%s", rules->set);
    if (rules->checked != NULL)
        text_addf(note, ", checked against %s (as the description states)", rules->checked);
    text_add(note,
             rules->standard
                 ? ": results lie within the listed limits; that is no statement of conformity"
                 : ": our own figures; results are outside of any standard");
}

/* The longest slot's length where readings come so slowly that each is a slot of its own; else it
 * is as the rules have it. Out: text   "60 s". Returns: whether it differs. */
static bool slot_as_judged(const struct reduction *r, char *text, size_t size)
{
    const struct slots *slots = &r->finder.slots;
    if (!r->from_log || slots->longest_us == slots->wanted_us)
        return false;
    struct rule_value value = r->rules.rule[RULE_SLOT].value;
    value.high = (double)slots->longest_us * 1e-6;
    rule_value_text(RULE_SLOT, &value, text, size);
    return true;
}

static bool rules_document(const struct reduction *r, struct document *doc, struct faults *faults)
{
    struct column columns[] = {
        {.id = "rule", .label = "rule", .unit = "", .kind = CELL_TEXT},
        {.id = "used", .label = "used", .unit = "", .kind = CELL_TEXT},
        {.id = "of_set", .label = "of the set", .unit = "", .kind = CELL_TEXT},
        {.id = "known", .label = "known", .unit = "", .kind = CELL_TEXT},
        {.id = "source", .label = "source", .unit = "", .kind = CELL_TEXT},
    };
    struct text note = {0};
    rules_note(&r->rules, &note);
    struct table *table =
        text_ok(&note, faults)
            ? document_table(doc, "rules", "Rules for steady windows, as used", text_string(&note),
                             columns, sizeof columns / sizeof columns[0], faults)
            : NULL;
    text_free(&note);
    if (table == NULL)
        return false;
    table->report = table->file = true;
    table->place = TABLE_METHOD;
    for (int id = 0; id < RULE_COUNT; id++) {
        char used[RULE_TEXT_SIZE], of_set[RULE_TEXT_SIZE];
        const struct rule *rule = &r->rules.rule[id];
        bool slow = id == RULE_SLOT && slot_as_judged(r, used, sizeof used);
        if (!slow)
            rule_value_text((enum rule_id)id, &rule->value, used, sizeof used);
        struct cell cells[] = {
            cell_text(rule_row((enum rule_id)id)->key), cell_text(used),
            cell_text(rule_value_text((enum rule_id)id, &rule->of_set, of_set, sizeof of_set)),
            cell_text(slow ? "measured" : rule_known(&r->rules, rule->mark, rule->overridden)),
            cell_text(slow              ? "the log: each reading is judged by itself"
                      : rule->overridden ? "the description"
                                         : rule_source(&r->rules, rule->mark, rule->source))};
        if (!table_row(table, cells, faults))
            return false;
    }
    return true;
}

/* Every limit that the description or the log changed, with what the set asks. */
static bool deviations_fact(const struct reduction *r, struct document *doc, struct faults *faults)
{
    struct text text = {0};
    for (int id = 0; id < RULE_COUNT; id++) {
        char used[RULE_TEXT_SIZE], of_set[RULE_TEXT_SIZE];
        const struct rule *rule = &r->rules.rule[id];
        if (id != RULE_SLOT || !slot_as_judged(r, used, sizeof used))
            rule_value_text((enum rule_id)id, &rule->value, used, sizeof used);
        rule_value_text((enum rule_id)id, &rule->of_set, of_set, sizeof of_set);
        if (!text_same(used, of_set))
            text_addf(&text, "%s%s %s (of the set: %s)", text.length > 0 ? "; " : "",
                      rule_row((enum rule_id)id)->key, used, of_set);
    }
    bool good = text_ok(&text, faults) &&
                document_fact(doc, "rules", "deviations from it", faults, "%s",
                              text.length > 0 ? text_string(&text) : "none");
    text_free(&text);
    return good;
}

static bool rules_facts(const struct reduction *r, struct document *doc, struct faults *faults)
{
    const struct rules *rules = &r->rules;
    return document_fact(doc, "rules", "set", faults, "%s", rules->set) &&
           deviations_fact(r, doc, faults) &&
           (!rules->standard ||
            document_fact(doc, "rules", "checked against", faults, "%s",
                          rules->checked != NULL ? rules->checked : "not stated"));
}

static const char *reason_words(const struct refusal *refusal)
{
    if (refusal->reason == REFUSAL_SHORT)
        return "too short for conditioning and a window";
    if (refusal->reason == REFUSAL_CONDITIONING)
        return "conditioning before a window";
    if (refusal->reason == REFUSAL_EXCLUDED)
        return "excluded by the description";
    if (refusal->reason == REFUSAL_BROKEN || refusal->limit == RULE_COUNT)
        return "readings missing or bad";
    return rule_row(refusal->limit)->label;
}

/* Lines to paste inside a sentence: each in quotes, commas between. */
static void quote_lines(const struct text *lines, struct text *out)
{
    const char *at = text_string(lines);
    while (*at != '\0') {
        size_t n = strcspn(at, "\n");
        if (n > 0)
            text_addf(out, "%s'%.*s'", out->length > 0 ? ", " : "", (int)n, at);
        at += n + (at[n] == '\n');
    }
}

static bool refusal_row(const struct reduction *r, const struct refusal *refusal,
                        struct table *table, struct faults *faults)
{
    char start[40], end[40], amount[RULE_TEXT_SIZE] = "";
    struct text lines = {0}, quoted = {0};
    calendar_iso(refusal->start_us, 0, start, sizeof start);
    calendar_iso(refusal->end_us, 0, end, sizeof end);
    if (refusal->closest_found) {
        if (refusal->limit < RULE_LIMITS)
            rule_statistic_text(refusal->limit, refusal->closest.statistic[refusal->limit], amount,
                                sizeof amount);
        refusal_lines(refusal, &r->rules, &lines);
    }
    quote_lines(&lines, &quoted);
    text_fail_with(&quoted, &lines);
    struct cell cells[] = {cell_text(start),
                           cell_text(end),
                           cell_text(reason_words(refusal)),
                           cell_number((double)refusal->judged),
                           cell_text(amount),
                           cell_text(text_string(&quoted))};
    bool good = text_ok(&quoted, faults) && table_row(table, cells, faults);
    text_free(&quoted);
    text_free(&lines);
    return good;
}

static bool refusals_table(const struct reduction *r, struct document *doc, struct faults *faults)
{
    struct column columns[] = {
        {.id = "start", .label = "start", .unit = "", .kind = CELL_TEXT},
        {.id = "end", .label = "end", .unit = "", .kind = CELL_TEXT},
        {.id = "reason", .label = "refused by", .unit = "", .kind = CELL_TEXT},
        {.id = "candidates", .label = "candidates", .unit = "", .kind = CELL_NUMBER},
        {.id = "closest", .label = "closest", .unit = "", .kind = CELL_TEXT},
        {.id = "change", .label = "would be admitted by", .unit = "", .kind = CELL_TEXT},
    };
    struct table *table = document_table(
        doc, "refusals", "Refused stretches",
        "What lies between the windows: the limit that most candidates failed, the figure of the "
        "closest candidate, and the smallest change that would admit it",
        columns, sizeof columns / sizeof columns[0], faults);
    if (table == NULL)
        return false;
    table->file = true;
    const struct refusals *refusals = &r->finder.refusals;
    for (size_t i = 0; i < refusals->n_kept; i++)
        if (!refusal_row(r, &refusals->kept[i], table, faults))
            return false;
    return true;
}

static bool limits_table(const struct reduction *r, struct document *doc, struct faults *faults)
{
    struct column columns[] = {
        {.id = "limit", .label = "limit", .unit = "", .kind = CELL_TEXT},
        {.id = "stretches", .label = "stretches", .unit = "", .kind = CELL_NUMBER},
        {.id = "hours", .label = "hours", .unit = "h", .kind = CELL_NUMBER, .digits = 2},
        {.id = "candidates", .label = "candidates", .unit = "", .kind = CELL_NUMBER},
        {.id = "line", .label = "smallest change that admits a window", .unit = "",
         .kind = CELL_TEXT},
    };
    struct table *table = document_table(
        doc, "limits", "What refused, limit by limit",
        "Stretches and hours count where it was the main reason; candidates, wherever it was not "
        "met. A change stands alone: all other limits are met.",
        columns, sizeof columns / sizeof columns[0], faults);
    if (table == NULL)
        return false;
    table->report = true;
    const struct refusals *f = &r->finder.refusals;
    for (int id = 0; id < RULE_LIMITS; id++) {
        char line[RULE_TEXT_SIZE] = "";
        if (f->failed[id] == 0)
            continue;
        if (r->finder.n_windows == 0 || f->alone[id].ratio <= NEAR_RATIO)
            near_miss_line(&f->alone[id], &r->rules, (enum rule_id)id, line, sizeof line);
        struct cell cells[] = {cell_text(rule_row((enum rule_id)id)->key),
                               cell_number((double)f->stretches_limit[id]),
                               cell_number(f->seconds_limit[id] / 3600),
                               cell_number((double)f->failed[id]), cell_text(line)};
        if (!table_row(table, cells, faults))
            return false;
    }
    return true;
}

/* "inlet temperature steady 41 %, sunshine steady 22 %" of the refused time. */
static void refused_shares(const struct refusals *f, struct text *out)
{
    static const char *const others[] = {"too short", "readings missing or bad", "conditioning",
                                         "excluded"};
    const double other_seconds[] = {f->seconds_short, f->seconds_broken, f->seconds_conditioning,
                                    f->seconds_excluded};
    enum { REASONS = RULE_LIMITS + sizeof others / sizeof others[0] };
    bool done[REASONS] = {false};
    for (int round = 0; round < 3; round++) {
        int best = -1;
        double most = 0;
        for (int id = 0; id < REASONS; id++) {
            double seconds =
                id < RULE_LIMITS ? f->seconds_limit[id] : other_seconds[id - RULE_LIMITS];
            if (!done[id] && seconds > most) {
                most = seconds;
                best = id;
            }
        }
        if (best < 0 || most < 0.01 * f->seconds)
            return;
        done[best] = true;
        const char *words =
            best < RULE_LIMITS ? rule_row((enum rule_id)best)->key : others[best - RULE_LIMITS];
        text_addf(out, "%s%s %.0f %%", round > 0 ? ", " : "", words, 100 * most / f->seconds);
    }
}

/* ", 2 of whose figures the description changed" */
static const char *changed_limits(const struct rules *rules, char *out, size_t size)
{
    int changed = 0;
    for (int id = 0; id < RULE_COUNT; id++)
        changed += rules->rule[id].overridden;
    out[0] = '\0';
    if (changed > 0)
        snprintf(out, size, ", %d of whose figures the description changed", changed);
    return out;
}

static bool window_finding(const struct reduction *r, struct document *doc, struct faults *faults)
{
    const struct refusals *f = &r->finder.refusals;
    char count[64], length[32], refused[32], changed[80];
    struct text shares = {0};
    refused_shares(f, &shares);
    words_count(r->finder.n_windows, "window", count, sizeof count);
    words_duration(finder_window_s(&r->finder), length, sizeof length);
    words_duration(f->seconds, refused, sizeof refused);
    bool good = text_ok(&shares, faults);
    if (good)
        good = document_finding(
            doc, FINDING_WINDOWS, r->finder.n_windows == 0, faults,
            "%c%s of %s found by the rules '%s'%s; %s refused in %zu stretch%s%s%s.",
            count[0] == 'n' ? 'N' : count[0], count + 1, length, r->rules.set,
            changed_limits(&r->rules, changed, sizeof changed), refused,
            f->stretches, f->stretches == 1 ? "" : "es", shares.length > 0 ? ": " : "",
            text_string(&shares));
    text_free(&shares);
    return good;
}

/* Nothing is left out unsaid: windows in which a slot stood a lost row. */
static bool aside_finding(const struct reduction *r, struct document *doc, struct faults *faults)
{
    size_t windows = 0, aside = 0, readings = 0;
    for (size_t i = 0; i < r->means.n; i++) {
        windows += r->means.items[i].set_aside > 0;
        aside += r->means.items[i].set_aside;
        readings += r->means.items[i].readings;
    }
    if (windows == 0)
        return true;
    return document_finding(
        doc, FINDING_WINDOWS, false, faults,
        "%zu of the %zu rows in %s had a needed reading set aside; the means are "
        "over the other rows, at least 3 in 4 of every slot.",
        aside, readings + aside, r->means.n == 1 ? "the window" : "the windows");
}

/* Whether lost readings, and no limit, are what stands in the way. */
static bool is_lost(const struct reduction *r)
{
    const struct slots *slots = &r->finder.slots;
    const struct refusals *f = &r->finder.refusals;
    return slots->n_broken > slots->n_empty && f->seconds_broken > 0.5 * f->seconds &&
           r->finder.n_windows < FEW_WINDOWS;
}

/* A slot with fewer than SLOTS_ROWS_A_LOST rows stands no lost one: a longer slot would. */
static bool lost_finding(const struct reduction *r, struct document *doc, struct faults *faults)
{
    const struct slots *slots = &r->finder.slots;
    char slot[32];
    if (!is_lost(r) || slots->step_us <= 0)
        return true;
    double step_s = 1e-6 * (double)slots->step_us, slot_s = 1e-6 * (double)slots->slot_us;
    double longer_s = SLOTS_ROWS_A_LOST * step_s;
    words_duration(slot_s, slot, sizeof slot);
    if (slots_need_count(slots) || slot_s > 0.9 * longer_s)
        return document_finding(
            doc, FINDING_CANNOT, true, faults,
            "Too many readings are lost: %zu slots of %s were broken by them. "
            "Which column, and from which line on, stands with the readings; no "
            "limit in [steady state] makes that good.",
            slots->n_broken - slots->n_empty, slot);
    return document_finding(
               doc, FINDING_CANNOT, true, faults,
               "A row comes every %.3g s, so a slot of %s holds too few of them to stand "
               "a lost one: each breaks its slot, and the window with it. This line in "
               "[steady state] would stand one in four:",
               step_s, slot) &&
           document_finding(doc, FINDING_CANNOT, false, faults, "slot = %.12g s", ceil(longer_s));
}

/* The cheapest single line: the near miss whose ratio is smallest. */
static bool near_finding(const struct reduction *r, struct document *doc, struct faults *faults)
{
    const struct refusals *f = &r->finder.refusals;
    int best = -1;
    char line[RULE_TEXT_SIZE], when[40];
    for (int id = 0; id < RULE_LIMITS; id++)
        if (f->alone[id].found && (best < 0 || f->alone[id].ratio < f->alone[best].ratio))
            best = id;
    /* Beyond a few times the limit it is another test, not a loosened limit; with no window at
     * all it is still what there is to say, unless readings are what is missing. */
    if (best < 0 ||
        (f->alone[best].ratio > NEAR_RATIO && (r->finder.n_windows > 0 || is_lost(r))) ||
        !near_miss_line(&f->alone[best], &r->rules, (enum rule_id)best, line, sizeof line))
        return true;
    zone_iso(log_set_zone(&r->logs), f->alone[best].start_us, when, sizeof when);
    return document_finding(
               doc, FINDING_WINDOWS, false, faults,
               "The smallest change that would admit %s window (at %s) is this line in "
               "[steady state]:",
               r->finder.n_windows > 0 ? "another" : "a", when) &&
           document_finding(doc, FINDING_WINDOWS, false, faults, "%s", line);
}

/* Each line is a finding of its own, so that it stands unbroken and can be pasted. */
static bool line_findings(const char *lines, struct document *doc, struct faults *faults)
{
    while (*lines != '\0') {
        int n = (int)strcspn(lines, "\n");
        if (n > 0 && !document_finding(doc, FINDING_CANNOT, false, faults, "%.*s", n, lines))
            return false;
        lines += lines[n] == '\n' ? n + 1 : n;
    }
    return true;
}

/* Without any single change: what the closest candidate of all needs together. */
static bool closest_finding(const struct reduction *r, struct document *doc, struct faults *faults)
{
    const struct refusals *f = &r->finder.refusals;
    const struct refusal *best = NULL;
    for (size_t i = 0; i < f->n_kept; i++)
        if (f->kept[i].closest_found &&
            (best == NULL || f->kept[i].closest_ratio < best->closest_ratio))
            best = &f->kept[i];
    if (best == NULL)
        return true;
    struct text lines = {0};
    char when[40];
    bool good = true;
    zone_iso(log_set_zone(&r->logs), best->closest_start_us, when, sizeof when);
    if (refusal_lines(best, &r->rules, &lines) > 0)
        good =
            text_ok(&lines, faults) &&
            document_finding(doc, FINDING_CANNOT, false, faults,
                             "No change of one limit would admit a window. The closest candidate "
                             "(at %s) would be admitted by these lines in [steady state]:",
                             when) &&
            line_findings(text_string(&lines), doc, faults);
    text_free(&lines);
    return good;
}

/* A sensor that never shows anything, or two that changed places, are no matter of limits. */
static bool dead_findings(const struct reduction *r, struct document *doc, struct faults *faults)
{
    static const enum channel channels[] = {CH_IRRADIANCE, CH_FLOW};
    for (size_t i = 0; i < sizeof channels / sizeof channels[0]; i++) {
        const struct log_channel *channel = log_set_channel(&r->logs, channels[i]);
        if (channel->present && channel->count[FLAG_GOOD] > 0 && !(channel->most_si > 0) &&
            !document_finding(doc, FINDING_CANNOT, true, faults,
                              "The %s (column '%s') is never above zero in the log: is the sensor "
                              "connected, are its column, 'unit' and 'gain' right?",
                              channel_row(channels[i])->word, channel->column))
            return false;
    }
    const struct log_channel *in = log_set_channel(&r->logs, CH_INLET);
    const struct log_channel *out = log_set_channel(&r->logs, CH_OUTLET);
    if (!(out->most_si < in->most_si && out->least_si < in->least_si))
        return true;
    return document_finding(
        doc, FINDING_CANNOT, true, faults,
        "The outlet (column '%s') reads lower than the inlet (column '%s'): did "
        "the two change places?",
        out->column, in->column);
}

static bool no_window_findings(const struct reduction *r, struct document *doc,
                               struct faults *faults)
{
    bool alone = false;
    for (int id = 0; id < RULE_LIMITS; id++)
        alone |= r->finder.refusals.alone[id].found;
    if (!dead_findings(r, doc, faults) || (!alone && !closest_finding(r, doc, faults)))
        return false;
    if (!r->rules.standard || is_lost(r))
        return true;
    return document_finding(doc, FINDING_CANNOT, false, faults,
                            "If this is a homemade rig, 'rules = homemade rig' in [steady state] "
                            "allows a drifting inlet and a wavering flow; such a result is outside "
                            "of the standard.");
}

/* Which windows serve the curve, and which the modifier. */
static bool oblique_finding(const struct reduction *r, struct document *doc, struct faults *faults)
{
    const struct run_section *run = r->setup.runs;
    size_t near = 0, beyond = 0;
    if (!r->keeps_oblique || r->angles_refused)
        return true;
    while (run->kind != RUN_MODIFIER)
        run++;
    for (size_t i = 0; i < r->means.n; i++) {
        const struct means *means = &r->means.items[i];
        near += means->has[CH_INCIDENCE] && means->mean[CH_INCIDENCE] <= run->near_normal_rad;
        beyond += means->has[CH_INCIDENCE] && means->mean[CH_INCIDENCE] > run->near_normal_rad;
    }
    if (run->curve == CURVE_TOGETHER)
        return document_finding(
            doc, FINDING_WINDOWS, false, faults,
            "No window is refused for its angle: curve and modifier are fitted "
            "together from all (%zu within %.3g° of the normal, %zu beyond it).",
            near, run->near_normal_rad * 180 / M_PI, beyond);
    return document_finding(doc, FINDING_WINDOWS, false, faults,
                            "No window is refused for its angle: %zu within %.3g° of the normal "
                            "for the curve, %zu beyond it for the modifier.",
                            near, run->near_normal_rad * 180 / M_PI, beyond);
}

bool reduction_windows(const struct reduction *r, struct document *doc, struct faults *faults)
{
    if (!rules_facts(r, doc, faults))
        return false;
    if (!r->from_log) {
        char count[64];
        words_count(r->means.n, "point", count, sizeof count);
        return document_finding(doc, FINDING_WINDOWS, false, faults,
                                "%c%s read as typed; no rule for steadiness was judged.",
                                count[0] == 'n' ? 'N' : count[0], count + 1);
    }
    return reduction_days(r, doc, faults) && window_finding(r, doc, faults) &&
           reduction_slots(r, doc, faults) &&
           aside_finding(r, doc, faults) && oblique_finding(r, doc, faults) &&
           reduction_exclusions(r, doc, faults) &&
           lost_finding(r, doc, faults) && near_finding(r, doc, faults) &&
           (r->finder.n_windows > 0 || no_window_findings(r, doc, faults)) &&
           rules_document(r, doc, faults) && reduction_windows_table(r, doc, faults) &&
           limits_table(r, doc, faults) && refusals_table(r, doc, faults);
}
