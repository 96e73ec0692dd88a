#include "run/rules_section.h"

#include "base/text.h"
#include "description/value.h"
#include "window/rules_override.h"

#include <stdio.h>
#include <string.h>

static bool refuse_checked(const struct test_setup *setup, const char *set, const char *found,
                           struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_INPUT, setup->checked_at);
    fault_found(fault, "'%s' %s", setup->checked, found);
    fault_expected(fault, "the copy, by whom, when: '%s copy no. 12, by A. Tester, 2026-03-01'",
                   set);
    return false;
}

/* `ISO 9806:2017 copy no. 12, by A. Tester, 2026-03-01`: the set's own name, a name behind 'by' and
 * a date, so that the statement can be followed up. */
static bool check_checked(const struct test_setup *setup, const struct rules *rules,
                          struct faults *faults)
{
    char copy[VALUE_SIZE], head[VALUE_SIZE];
    int64_t day;
    if (!rules->standard) {
        struct fault *fault = fault_new(faults, FAULT_INPUT, setup->checked_at);
        fault_found(fault, "the rules '%s' are this program's own: no copy can bear them out",
                    rules->set);
        fault_hint(fault, "remove 'rules checked against', or name a standard's 'rules'");
        return false;
    }
    strcpy(copy, setup->checked);
    snprintf(head, sizeof head, "%.*s", (int)strlen(rules->set), copy);
    if (!text_same_nocase(head, rules->set))
        return refuse_checked(setup, rules->set, "is not a copy of the rules in use", faults);
    char *last = strrchr(copy, ',');
    if (last == NULL)
        return refuse_checked(setup, rules->set, "says neither by whom nor when", faults);
    *last = '\0';
    char *by = strrchr(copy, ',');
    if (by == NULL || !text_starts(text_trim(by + 1), "by "))
        return refuse_checked(setup, rules->set, "does not say by whom it was compared", faults);
    return value_date(text_trim(last + 1), setup->checked_at, &day, faults);
}

bool rules_section_settle(const struct test_setup *setup, struct rules *rules,
                          struct criteria *criteria, struct faults *faults)
{
    const char *set = setup->rules[0] == '\0' ? NULL : setup->rules;
    if (!rules_init(rules, set, setup->rules_at, faults))
        return false;
    criteria_init(criteria, rules->set);
    bool good = true;
    if (setup->checked[0] != '\0') {
        good = check_checked(setup, rules, faults);
        rules->checked = setup->checked;
    }
    for (size_t i = 0; i < setup->n_overrides; i++) {
        const struct raw_key *raw = &setup->overrides[i];
        const struct criterion_row *row = criterion_find(raw->key);
        good &= row != NULL ? criteria_override(criteria, row, raw->value, raw->at, faults)
                            : rules_override(rules, raw->key, raw->value, raw->at, faults);
    }
    return good && rules_check(rules, setup->rules_at, faults);
}
