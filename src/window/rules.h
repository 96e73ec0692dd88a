/* Rules: what makes a stretch of readings a steady-state window. One table of rows that a
 * technician can proof-read (window/rule.h), and four sets of figures for it (rules_sets.c):
 *
 *   "ISO 9806:2017"    as far as it is known here; each figure is marked read or from memory
 *   "ISO 9806-1:1994"  as a textbook restates it
 *   "ASHRAE 93"        one page of it was read, of an edition that it does not name
 *   "homemade rig"     this project's own, for rigs whose inlet drifts and whose flow wavers
 *
 * What a set asks of a whole test stands in window/criteria.h.
 *
 * Every figure can be overridden by its key, as in a description: `flow deviation = 2 %`, or `off`
 * (window/rules_override.h).
 */
#ifndef WINDOW_RULES_H
#define WINDOW_RULES_H

#include "base/faults.h"
#include "base/text.h"
#include "window/rule.h"

#include <stdbool.h>
#include <stddef.h>

struct rule {
    struct rule_value value;
    struct rule_value of_set; /* before an override */
    const char *source;       /* where the set's figure comes from, or why it was chosen */
    enum rule_mark mark;
    bool overridden;
};

struct rules {
    const char *set;     /* name of the set */
    bool standard;       /* a standard's figures; false: results lie outside any standard */
    const char *checked; /* the copy of the standard that the user compared the set with, by whom
                            and when; borrowed; NULL: not stated */
    struct rule rule[RULE_COUNT];
};

/* How a figure of this test is known: "stated in the description", "checked" (against the copy that
 * the rules name), or the mark of the set. */
const char *rule_known(const struct rules *rules, enum rule_mark mark, bool overridden);

/* The source of a set's figure, or "the copy named above" where the set was checked against one. */
const char *rule_source(const struct rules *rules, enum rule_mark mark, const char *source);

/* Names of the sets and keys of the rows, for lists and "nearest" hints. */
const char *const *rules_sets(size_t *n);
const char *const *rules_keys(size_t *n);

/* Whether a set holds a standard's figures; under the project's own sets windows may drift and
 * storage is corrected. NULL or "": the default set. True for a name that is no set. */
bool rules_set_is_standard(const char *set);

/* Fills the figures of a set.
 * In:      set   its name, ASCII case ignored; NULL: "ISO 9806:2017"
 *          at    place of the name in the description, for the fault
 * Returns: false with an input fault that lists the sets */
bool rules_init(struct rules *rules, const char *set, struct place at, struct faults *faults);

/* Checks the figures against each other, after all overrides: the slot must fit into the window,
 * and window and conditioning must not hold more than RULES_SLOTS_MAX slots.
 * Returns: false with an input fault */
enum { RULES_SLOTS_MAX = 100000 };
bool rules_check(const struct rules *rules, struct place at, struct faults *faults);

/* All figures with source, mark and overrides, for people, at most 100 columns wide. */
void rules_table(const struct rules *rules, struct text *out);

#endif
