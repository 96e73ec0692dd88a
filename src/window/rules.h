/* Rules: what makes a stretch of readings a steady-state window. One table of rows that a
 * technician can proof-read (rules_table.c), and four sets of figures for it (rules_sets.c):
 *
 *   "ISO 9806:2017"    as far as it is known here; each figure is marked read or from memory
 *   "ISO 9806-1:1994"  as a textbook restates it
 *   "ASHRAE 93"        one page of it was read, of an edition that it does not name
 *   "homemade rig"     this project's own, for rigs whose inlet drifts and whose flow wavers
 *
 * What a set asks of a whole test stands in window/criteria.h.
 *
 * Every figure can be overridden by its key, as in a description: `flow deviation = 2 %`, or `off`.
 */
#ifndef WINDOW_RULES_H
#define WINDOW_RULES_H

#include "base/faults.h"
#include "base/text.h"
#include "base/units.h"
#include "domain/channel.h"

#include <stdbool.h>
#include <stddef.h>

/* Limits first: each window has a verdict for each of them. Then the three lengths. */
enum rule_id {
    RULE_IRRADIANCE_LEAST,
    RULE_IRRADIANCE_DEVIATION,
    RULE_AMBIENT_DEVIATION,
    RULE_INLET_DEVIATION,
    RULE_OUTLET_DEVIATION,
    RULE_OUTLET_DRIFT,
    RULE_FLOW_DEVIATION,
    RULE_FLOW_WAVER,
    RULE_WIND,
    RULE_DIFFUSE_MOST,
    RULE_INCIDENCE_MOST,
    RULE_RISE_LEAST,
    RULE_LIMITS,
    RULE_WINDOW = RULE_LIMITS,
    RULE_CONDITIONING,
    RULE_SLOT,
    RULE_COUNT
};

/* What is computed from a window and held against the figure. */
enum rule_statistic {
    RULE_DEVIATION,          /* largest |mean of a slot - mean of the window| */
    RULE_DEVIATION_RELATIVE, /* the same as a share of the window's mean */
    RULE_MEAN,               /* mean of the window */
    RULE_SHARE,              /* mean diffuse irradiance / mean irradiance */
    RULE_RISE,               /* mean outlet - mean inlet */
    RULE_DRIFT,              /* |slope| of the straight line through the window's slot means */
    RULE_LENGTH              /* a length of time, not a limit */
};

enum rule_sense { RULE_AT_LEAST, RULE_AT_MOST, RULE_BETWEEN };

struct rule_row {
    enum rule_id id;
    const char *key;   /* as written in a description */
    const char *label; /* plain words for people */
    enum channel channel;
    enum rule_statistic statistic;
    enum rule_sense sense;
    bool conditioning; /* the limit also holds in the conditioning stretch before the window */
    const char *unit;  /* as printed */
    double unit_si;    /* SI value of one unit */
    enum dimension dimension;
    int decimals; /* of a figure that the program proposes */
    double least; /* smallest and largest figure accepted, in `unit` */
    double most;
};

/* A figure in SI (K, W/m2, m/s, rad, s, K/s, plain shares). AT_LEAST uses low, AT_MOST and lengths
 * use high, BETWEEN both; an end that is not used is infinite. */
struct rule_value {
    bool on;
    double low;
    double high;
};

/* How the figure of a set is known. */
enum rule_mark { RULE_READ, RULE_MEMORY, RULE_OWN };
const char *rule_mark_words(enum rule_mark mark); /* "from memory" */

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

const struct rule_row *rule_row(enum rule_id id);

/* By the key of a description (ASCII case ignored). NULL if there is none. */
const struct rule_row *rule_find(const char *key);

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

/* Overrides one figure.
 * In:      key     a row's key
 *          value   "2 %", "0.2 K", "1 to 5 m/s", "off" (the window and the slot cannot be off);
 *                  any unit of the quantity is accepted, a number without unit is not
 *          at      place of the value in the description
 * Returns: false with an input fault; the figure is then unchanged */
bool rules_override(struct rules *rules, const char *key, const char *value, struct place at,
                    struct faults *faults);

/* Checks the figures against each other, after all overrides: the slot must fit into the window,
 * and window and conditioning must not hold more than RULES_SLOTS_MAX slots.
 * Returns: false with an input fault */
enum { RULES_SLOTS_MAX = 100000 };
bool rules_check(const struct rules *rules, struct place at, struct faults *faults);

enum { RULE_TEXT_SIZE = 96 };

/* The figure as a user writes it: "50 W/m2", "2 to 4 m/s", "off". size >= RULE_TEXT_SIZE.
 * Returns: out */
const char *rule_value_text(enum rule_id id, const struct rule_value *value, char *out,
                            size_t size);

/* A statistic in the row's unit: "2.27 %". One digit more than a proposed figure has. */
const char *rule_statistic_text(enum rule_id id, double statistic, char *out, size_t size);

/* The line to paste into [steady state]: "flow deviation = 2.3 %". Returns: out */
const char *rule_line(enum rule_id id, const struct rule_value *value, char *out, size_t size);

/* Whether a statistic meets a figure that is on. Rounding of the arithmetic counts for the window:
 * a log in steps of 0.1 K must not fail a limit of 0.1 K by the last bit (one part in 1e9 of the
 * figure). A statistic that is not finite meets nothing. */
bool rule_meets(enum rule_id id, const struct rule_value *value, double statistic);

/* How far out of its limit a statistic lies: 1 at the limit, larger outside, smaller inside.
 * AT_MOST: statistic / limit. AT_LEAST: limit / statistic (infinite for a statistic <= 0).
 * BETWEEN: distance from the middle / half width. */
double rule_ratio(enum rule_id id, const struct rule_value *value, double statistic);

/* The smallest printable loosening of a figure that a statistic meets: rounded outwards to the
 * row's decimals, and read back from its own text, so that the pasted line really admits.
 * Out:     loosened   untouched on failure
 * Returns: false if no accepted figure does */
bool rule_loosen(enum rule_id id, const struct rule_value *value, double statistic,
                 struct rule_value *loosened);

/* All figures with source, mark and overrides, for people, at most 100 columns wide. */
void rules_table(const struct rules *rules, struct text *out);

#endif
