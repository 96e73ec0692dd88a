/* [steady state] on its way into a setup: the rule set's name, and its limits as they were written.
 */
#include "run/setup_parts.h"

#include <stdlib.h>
#include <string.h>

/* The rules' own keys are read by the window's table; here only the name of the set is known. */
static const struct schema_row steady_rows[] = {
    {.key = "rules",
     .kind = VALUE_TEXT,
     .help = "set of limits; every limit's own key overrides its figure, 'off' switches it off",
     .example = "homemade rig",
     .by_default = "ISO 9806:2017"},
    {.key = "rules checked against",
     .kind = VALUE_TEXT,
     .help = "the copy of the standard with which you compared every figure of the set, and when; "
             "then no figure is marked 'from memory'",
     .example = "ISO 9806:2017 copy no. 12, by A. Tester, 2026-03-01"},
};
const struct schema steady_section_schema = {
    "steady state", false, "When the readings count as steady.", steady_rows, LENGTH(steady_rows)};

static bool is_repeated(const struct description *description, const struct section *section,
                        size_t i)
{
    for (size_t j = 0; j < i; j++)
        if (text_same(description->entries[section->first + j].key,
                      description->entries[section->first + i].key))
            return true;
    return false;
}

static bool take_rule(struct making *making, const struct entry *entry)
{
    struct test_setup *setup = making->setup;
    struct place at = fault_at(setup->path, entry->line, entry->value_column);
    struct place key_at = fault_at(setup->path, entry->line, entry->key_column);
    if (entry->value[0] == '\0') {
        struct fault *fault = fault_new(making->faults, FAULT_INPUT, key_at);
        fault_found(fault, "'%s' has no value", entry->key);
        return false;
    }
    if (text_same(entry->key, "rules")) {
        strcpy(setup->rules, entry->value);
        setup->rules_at = at;
        return true;
    }
    if (text_same(entry->key, "rules checked against")) {
        strcpy(setup->checked, entry->value);
        setup->checked_at = at;
        return true;
    }
    struct raw_key *raw = &setup->overrides[setup->n_overrides++];
    strcpy(raw->key, entry->key);
    strcpy(raw->value, entry->value);
    raw->at = at;
    raw->key_at = key_at;
    return true;
}

bool setup_read_steady(struct making *making)
{
    struct test_setup *setup = making->setup;
    const struct section *section = description_find(making->description, "steady state");
    if (section == NULL)
        return true;
    setup->overrides = calloc(section->n + 1, sizeof *setup->overrides);
    if (setup->overrides == NULL)
        return fault_memory(making->faults);
    bool good = true;
    for (size_t i = 0; i < section->n; i++) {
        const struct entry *entry = &making->description->entries[section->first + i];
        if (is_repeated(making->description, section, i)) {
            struct place at = fault_at(setup->path, entry->line, entry->key_column);
            struct fault *fault = fault_new(making->faults, FAULT_INPUT, at);
            fault_found(fault, "'%s' appears twice in its section", entry->key);
            fault_hint(fault, "remove one of them");
            good = false;
            continue;
        }
        good = take_rule(making, entry) && good;
    }
    return good;
}
