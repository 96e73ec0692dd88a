/* Conditions that a curve does not know, against what it leaves over.
 */
#ifndef RUN_EFFICIENCY_TRENDS_H
#define RUN_EFFICIENCY_TRENDS_H

#include "fit/trend.h"
#include "run/efficiency_view.h"

enum { TRENDS = 5 };

/* A trend counts as one when chance makes any as strong, all conditions together, in this share of
 * tests: the usual 5 %, divided by how many conditions were asked about (Bonferroni). */
#define TREND_CHANCE 0.05

/* On the first screen it stands only if chance makes it in this share: a mark there asks the reader
 * to act, and one of twenty right tests would be too many. Our own figure. */
#define TREND_CHANCE_MARKED 0.01

/* ... and if it changes the efficiency by more than this part of the curve's own interval. Our own
 * figure. */
#define TREND_LEAST_SHARE 0.1

struct trend {
    const char *word;   /* "wind" */
    const char *unit;   /* for people, "" if none */
    const char *likely; /* what such a trend mostly comes from */
    int places;         /* of the condition in its unit */
    bool daily;         /* it begins anew each day: what days differ by was taken out */
    bool known;         /* of any point */
    bool of_mean;       /* about a mean, which leaves the heat loss over: nothing is told */
    bool told;          /* `found` is filled */
    struct fit_trend found;
};

struct trends {
    struct trend of[TRENDS];
    size_t told; /* how many conditions were asked about */
};

/* In:      view  with e and points
 * Returns: false only when memory is short */
bool trends_find(const struct efficiency_view *view, struct trends *out, struct faults *faults);

/* Probability that any of the conditions asked about shows as strong a trend by chance, at most 1.
 */
double trends_chance(const struct trends *trends, const struct trend *trend);

#endif
