/* Criteria: what a set of rules asks of a whole test, beside the limits of each window: how many
 * temperatures, how many points at each, how far they reach, the symmetry about noon. One table of
 * rows that a technician can proof-read and the figures of each set (criteria_table.c).
 *
 * Every figure can be overridden by its key in [steady state], as those of the windows can:
 * `points at each = 3`, `near air = 5 K`, or `off`. They are judged and said; none of them keeps a
 * result from being given.
 */
#ifndef WINDOW_CRITERIA_H
#define WINDOW_CRITERIA_H

#include "base/faults.h"
#include "base/text.h"
#include "base/units.h"
#include "window/rules.h"
#include "window/rules_text.h"

#include <stdbool.h>
#include <stddef.h>

enum criterion_id {
    CRITERION_LEVELS,
    CRITERION_EACH,
    CRITERION_POINTS,
    CRITERION_NEAR_AIR,
    CRITERION_REACH,
    CRITERION_WARMEST,
    CRITERION_GAP,
    CRITERION_NOON,
    CRITERION_FLOW,
    CRITERION_AIR,
    CRITERION_COUNT
};

struct criterion_row {
    enum criterion_id id;
    const char *key;   /* as written in a description */
    const char *label; /* plain words for people */
    bool at_most;      /* met by what is no larger than the figure; else by what is no smaller */
    bool count;        /* a whole number without unit */
    bool difference;   /* of temperatures */
    enum dimension dimension;
    const char *unit; /* as printed; "" for counts */
    double unit_si;   /* SI value of one unit; absolute temperatures stay in degC */
    int decimals;     /* of what was found */
    double least;     /* smallest and largest figure accepted, SI */
    double most;
};

struct criterion {
    bool on;
    double figure; /* SI; degC where absolute; NaN while off */
    bool set_on;   /* before an override */
    double set_figure;
    const char *source;
    enum rule_mark mark;
    bool overridden;
};

struct criteria {
    struct criterion criterion[CRITERION_COUNT];
};

const struct criterion_row *criterion_row(enum criterion_id id);

/* By the key of a description (ASCII case ignored). NULL if there is none. */
const struct criterion_row *criterion_find(const char *key);

/* Fills the figures that belong to a set of rules.
 * In:  set   the name as in struct rules */
void criteria_init(struct criteria *criteria, const char *set);

/* Overrides one figure.
 * In:      row     its row
 *          value   "5 K", "4" (counts have no unit), "off"
 *          at      place of the value in the description
 * Returns: false with an input fault; the figure is then unchanged */
bool criteria_override(struct criteria *criteria, const struct criterion_row *row,
                       const char *value, struct place at, struct faults *faults);

/* Whether what was found meets a figure that is on; one part in 1e9 is left for arithmetic. */
bool criterion_meets(enum criterion_id id, double figure, double found);

/* "4", "3 K", "70 degC", "10 %", "off" (NaN). size >= RULE_TEXT_SIZE. Returns: out */
const char *criterion_text(enum criterion_id id, double figure, char *out, size_t size);

/* What was found, with the row's decimals: "2.4 K". NaN: "". size >= RULE_TEXT_SIZE. */
const char *criterion_found_text(enum criterion_id id, double found, char *out, size_t size);

/* All figures with source, mark and overrides, for people, at most 100 columns wide; follows
 * rules_table. */
void criteria_table(const struct criteria *criteria, const struct rules *rules, struct text *out);

#endif
