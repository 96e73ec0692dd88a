#include "window/rules.h"

#include "window/rules_table.h"
#include "window/rules_text.h"

#include <stdio.h>

const char *rule_known(const struct rules *rules, enum rule_mark mark, bool overridden)
{
    if (overridden)
        return "stated in the description";
    return rules->checked != NULL && mark != RULE_OWN ? "checked" : rule_mark_words(mark);
}

const char *rule_source(const struct rules *rules, enum rule_mark mark, const char *source)
{
    return rules->checked != NULL && mark != RULE_OWN ? "the copy named above" : source;
}

const char *const *rules_sets(size_t *n)
{
    static const char *const names[] = {"ISO 9806:2017", "ISO 9806-1:1994", "ASHRAE 93",
                                        "homemade rig"};
    *n = sizeof names / sizeof names[0];
    return names;
}

const char *const *rules_keys(size_t *n)
{
    static const char *const keys[RULE_COUNT] = {"irradiance at least",
                                                 "irradiance deviation",
                                                 "ambient deviation",
                                                 "inlet deviation",
                                                 "outlet deviation",
                                                 "outlet drift",
                                                 "flow deviation",
                                                 "flow waver",
                                                 "wind",
                                                 "diffuse share at most",
                                                 "incidence at most",
                                                 "rise at least",
                                                 "window",
                                                 "conditioning",
                                                 "slot"};
    *n = RULE_COUNT;
    return keys;
}

static double figure_si(enum rule_id id, double figure)
{
    return figure * rule_rows[id].unit_si; /* infinite ends stay infinite */
}

static const struct rule_set *find_set(const char *name)
{
    size_t n;
    const struct rule_set *sets = rule_sets(&n);
    for (size_t i = 0; i < n; i++)
        if (name == NULL || text_same_nocase(name, sets[i].name))
            return &sets[i];
    return NULL;
}

bool rules_set_is_standard(const char *set)
{
    const struct rule_set *found = find_set(set == NULL || set[0] == '\0' ? NULL : set);
    return found == NULL || found->standard;
}

static bool refuse_set(const char *name, struct place at, struct faults *faults)
{
    size_t n;
    const char *const *names = rules_sets(&n);
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    fault_found(fault, "'%s' is not a set of rules", name);
    fault_expected(fault, "%s, %s, %s or %s", names[0], names[1], names[2], names[3]);
    const char *near = text_nearest(name, names, n);
    if (near != NULL)
        fault_hint(fault, "did you mean '%s'?", near);
    else
        fault_hint(fault, "write 'rules = %s' and override the figures that differ", names[n - 1]);
    return false;
}

bool rules_init(struct rules *rules, const char *set, struct place at, struct faults *faults)
{
    const struct rule_set *found = find_set(set);
    if (found == NULL)
        return refuse_set(set, at, faults);
    rules->set = found->name;
    rules->standard = found->standard;
    rules->checked = NULL;
    for (size_t i = 0; i < RULE_COUNT; i++) {
        const struct rule_figure *figure = &found->figure[i];
        enum rule_id id = rule_rows[i].id;
        struct rule_value value = {figure->on, figure_si(id, figure->low),
                                   figure_si(id, figure->high)};
        rules->rule[i] = (struct rule){value, value, figure->source, figure->mark, false};
    }
    return true;
}

static bool refuse_lengths(struct place at, struct faults *faults, const char *what,
                           const struct rules *rules)
{
    char window[RULE_TEXT_SIZE], conditioning[RULE_TEXT_SIZE], slot[RULE_TEXT_SIZE];
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    fault_found(fault, "%s: %s, %s, %s", what,
                rule_line(RULE_WINDOW, &rules->rule[RULE_WINDOW].value, window, sizeof window),
                rule_line(RULE_CONDITIONING, &rules->rule[RULE_CONDITIONING].value, conditioning,
                          sizeof conditioning),
                rule_line(RULE_SLOT, &rules->rule[RULE_SLOT].value, slot, sizeof slot));
    fault_expected(fault, "a slot no longer than the window, at most %d slots in both stretches",
                   RULES_SLOTS_MAX);
    fault_hint(fault, "change 'slot'");
    return false;
}

bool rules_check(const struct rules *rules, struct place at, struct faults *faults)
{
    const struct rule_value *conditioning = &rules->rule[RULE_CONDITIONING].value;
    double window_s = rules->rule[RULE_WINDOW].value.high;
    double slot_s = rules->rule[RULE_SLOT].value.high;
    double total_s = window_s + (conditioning->on ? conditioning->high : 0.0);
    if (slot_s > window_s * (1.0 + RULE_ROUNDING))
        return refuse_lengths(at, faults, "the slot does not fit into the window", rules);
    if (total_s / slot_s > RULES_SLOTS_MAX)
        return refuse_lengths(at, faults, "the slot is too short for the window", rules);
    return true;
}

static const char *sense_text(const struct rule_row *row, const struct rule_value *value)
{
    if (!value->on || row->statistic == RULE_LENGTH || row->sense == RULE_BETWEEN)
        return "";
    if (row->sense == RULE_AT_LEAST)
        return "at least ";
    return row->statistic == RULE_DEVIATION || row->statistic == RULE_DEVIATION_RELATIVE
               ? "+- "
               : "at most ";
}

static void table_line(const struct rules *rules, enum rule_id id, struct text *out)
{
    const struct rule *rule = &rules->rule[id];
    char value[RULE_TEXT_SIZE], of_set[RULE_TEXT_SIZE], figure[RULE_TEXT_SIZE + 16];
    rule_value_text(id, &rule->value, value, sizeof value);
    rule_value_text(id, &rule->of_set, of_set, sizeof of_set);
    snprintf(figure, sizeof figure, "%s%s", sense_text(rule_row(id), &rule->value), value);
    text_addf(out, "  %-22s %-18s %s\n", rule_row(id)->key, figure, rule_row(id)->label);
    if (rule->overridden)
        text_addf(out, "  %-22s overridden by the description; the set says %s\n", "", of_set);
    text_addf(out, "  %-22s %s: %s\n", "", rule_known(rules, rule->mark, false),
              rule_source(rules, rule->mark, rule->source));
}

void rules_table(const struct rules *rules, struct text *out)
{
    text_addf(out, "Rules: %s%s\n", rules->set,
              rules->standard ? ""
                              : " (figures of this project; results lie outside any standard)");
    if (rules->checked != NULL)
        text_addf(out, "Checked, as the description states, against %s.\n", rules->checked);
    text_add(out, "Deviations are those of slot means from the mean of the window.\n\n");
    for (int id = RULE_LIMITS; id < RULE_COUNT; id++)
        table_line(rules, (enum rule_id)id, out);
    for (int id = 0; id < RULE_LIMITS; id++)
        table_line(rules, (enum rule_id)id, out);
}
