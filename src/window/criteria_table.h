/* The rows of the criteria and the sets of figures, as data. Read window/criteria.h for their use.
 */
#ifndef WINDOW_CRITERIA_TABLE_H
#define WINDOW_CRITERIA_TABLE_H

#include "window/criteria.h"

#include <stddef.h>

/* A figure of a set in the row's printed unit; NaN: off. */
struct criterion_figure {
    double figure;
    enum rule_mark mark;
    const char *source;
};

struct criteria_set {
    const char *name; /* of the set of rules */
    struct criterion_figure figure[CRITERION_COUNT];
};

extern const struct criterion_row criterion_rows[CRITERION_COUNT];

const struct criteria_set *criteria_sets(size_t *n);

#endif
