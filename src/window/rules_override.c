#include "window/rules_override.h"

#include "base/text.h"
#include "window/criteria.h"
#include "window/rules_text.h"

static bool refuse_key(const char *key, struct place at, struct faults *faults)
{
    /* The section's own two keys, the limits, and what is asked of the whole test. The list leaves
     * out the two: they are no figures, and a fault's text is short. */
    enum { OWN = 2, NAMES = OWN + RULE_COUNT + CRITERION_COUNT };
    const char *names[NAMES] = {"rules", "rules checked against"};
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    struct text list = {0};
    for (int i = 0; i < NAMES; i++) {
        int criterion = i - OWN - RULE_COUNT;
        if (i < OWN)
            continue;
        names[i] = criterion < 0 ? rule_row((enum rule_id)(i - OWN))->key
                                 : criterion_row((enum criterion_id)criterion)->key;
        text_addf(&list, "%s%s", i == OWN ? "" : ", ", names[i]);
    }
    fault_found(fault, "'%s' is not a key of the rules", key);
    fault_expected(fault, "one of: %s", text_string(&list));
    text_free(&list);
    const char *near = text_nearest(key, names, NAMES);
    if (near != NULL)
        fault_hint(fault, "did you mean '%s'?", near);
    return false;
}

bool rules_override(struct rules *rules, const char *key, const char *value, struct place at,
                    struct faults *faults)
{
    const struct rule_row *row = rule_find(key);
    if (row == NULL)
        return refuse_key(key, at, faults);
    struct rule_text_fault wrong = {0};
    if (!rule_value_parse(row, value, &rules->rule[row->id].value, &wrong)) {
        struct fault *fault = fault_new(faults, FAULT_INPUT, at);
        fault_found(fault, "%s: %s", row->key, wrong.found);
        fault_expected(fault, "%s", wrong.expected);
        fault_hint(fault, "%s", wrong.hint);
        return false;
    }
    rules->rule[row->id].overridden = true;
    return true;
}
