/* The table of rows and the sets of figures, as data. Read window/rule.h and window/rules.h for
 * their use.
 */
#ifndef WINDOW_RULES_TABLE_H
#define WINDOW_RULES_TABLE_H

#include "window/rule.h"

#include <stdbool.h>
#include <stddef.h>

/* A figure of a set in the row's printed unit; an end that is not used is infinite. */
struct rule_figure {
    bool on;
    double low;
    double high;
    enum rule_mark mark;
    const char *source;
};

struct rule_set {
    const char *name;
    bool standard;
    struct rule_figure figure[RULE_COUNT]; /* by enum rule_id */
};

const struct rule_set *rule_sets(size_t *n);

#endif
