/* One rule: its row in the table that a technician can proof-read (rules_table.c), a figure of it,
 * and whether what a window shows meets that figure. The figures that hold for a test are in
 * window/rules.h, figures as text in window/rules_text.h.
 */
#ifndef WINDOW_RULE_H
#define WINDOW_RULE_H

#include "base/units.h"
#include "domain/channel.h"

#include <math.h>
#include <stdbool.h>

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

extern const struct rule_row rule_rows[RULE_COUNT]; /* rules_table.c */

const struct rule_row *rule_row(enum rule_id id);

/* By the key of a description (ASCII case ignored). NULL if there is none. */
const struct rule_row *rule_find(const char *key);

/* Part of a figure by which arithmetic may miss it. */
#define RULE_ROUNDING 1e-9

/* Whether a statistic meets a figure that is on. Rounding of the arithmetic counts for the window:
 * a log in steps of 0.1 K must not fail a limit of 0.1 K by the last bit (RULE_ROUNDING of the
 * figure). A statistic that is not finite meets nothing. Inline: it is asked a dozen times a slot.
 */
static inline bool rule_meets(enum rule_id id, const struct rule_value *value, double statistic)
{
    if (!isfinite(statistic))
        return false;
    enum rule_sense sense = rule_rows[id].sense;
    if (sense != RULE_AT_MOST && statistic < value->low - RULE_ROUNDING * fabs(value->low))
        return false;
    return sense == RULE_AT_LEAST || statistic <= value->high + RULE_ROUNDING * fabs(value->high);
}

/* How far out of its limit a statistic lies: 1 at the limit, larger outside, smaller inside.
 * AT_MOST: statistic / limit. AT_LEAST: limit / statistic (infinite for a statistic <= 0).
 * BETWEEN: distance from the middle / half width. */
double rule_ratio(enum rule_id id, const struct rule_value *value, double statistic);

#endif
