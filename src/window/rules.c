#include "window/rules.h"

#include "base/numbers.h"
#include "window/rules_table.h"
#include "window/rules_text.h"

#include <math.h>
#include <string.h>

/* Part of a figure by which arithmetic may miss it. */
#define RULE_ROUNDING 1e-9

const char *rule_mark_words(enum rule_mark mark)
{
    static const char *const words[] = {"read", "from memory", "our own"};
    return words[mark];
}

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

const struct rule_row *rule_row(enum rule_id id)
{
    return &rule_rows[id];
}

const struct rule_row *rule_find(const char *key)
{
    for (size_t i = 0; i < RULE_COUNT; i++)
        if (text_same_nocase(key, rule_rows[i].key))
            return &rule_rows[i];
    return NULL;
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

bool rule_meets(enum rule_id id, const struct rule_value *value, double statistic)
{
    if (!isfinite(statistic))
        return false;
    enum rule_sense sense = rule_rows[id].sense;
    if (sense != RULE_AT_MOST && statistic < value->low - RULE_ROUNDING * fabs(value->low))
        return false;
    return sense == RULE_AT_LEAST || statistic <= value->high + RULE_ROUNDING * fabs(value->high);
}

static double quotient(double over, double under)
{
    return under > 0.0 ? over / under : over > 0.0 ? INFINITY : 0.0;
}

double rule_ratio(enum rule_id id, const struct rule_value *value, double statistic)
{
    if (!isfinite(statistic))
        return INFINITY;
    switch (rule_rows[id].sense) {
    case RULE_AT_LEAST:
        return statistic > 0.0 ? value->low / statistic : INFINITY;
    case RULE_BETWEEN:
        return quotient(fabs(statistic - 0.5 * (value->low + value->high)),
                        0.5 * (value->high - value->low));
    case RULE_AT_MOST:
        break;
    }
    return quotient(statistic, value->high);
}

/* `figure` (printed unit) rounded to the row's decimals, away from the window's side, plus `more`
 * last places. The small allowance keeps 0.5 from becoming 0.6 by the last bit. */
static double rounded_out(const struct rule_row *row, double figure, bool up, int more)
{
    double places = pow(10.0, row->decimals);
    double steps = up ? ceil(figure * places - 1e-6) : floor(figure * places + 1e-6);
    return (steps + (up ? more : -more)) / places;
}

static struct rule_value move_end(const struct rule_row *row, const struct rule_value *value,
                                  double statistic, int more)
{
    struct rule_value moved = *value;
    bool up = row->sense == RULE_AT_MOST || (row->sense == RULE_BETWEEN && statistic > value->high);
    double figure = rounded_out(row, statistic / row->unit_si, up, more) * row->unit_si;
    if (up)
        moved.high = figure;
    else
        moved.low = figure;
    return moved;
}

/* What the value will be once its printed line has been read back. */
static bool read_back(const struct rule_row *row, const struct rule_value *value,
                      struct rule_value *again)
{
    char printed[RULE_TEXT_SIZE];
    return rule_value_parse(row, rule_value_text(row->id, value, printed, sizeof printed), again,
                            NULL);
}

bool rule_loosen(enum rule_id id, const struct rule_value *value, double statistic,
                 struct rule_value *loosened)
{
    const struct rule_row *row = &rule_rows[id];
    if (!isfinite(statistic) || row->statistic == RULE_LENGTH)
        return false;
    for (int more = 0; more < 3; more++) {
        struct rule_value moved = move_end(row, value, statistic, more);
        struct rule_value again;
        if (read_back(row, &moved, &again) && rule_meets(id, &again, statistic)) {
            *loosened = again;
            return true;
        }
    }
    return false;
}
