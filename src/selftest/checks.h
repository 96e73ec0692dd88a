/* Checks of an installed program against numbers from outside of it: what was compared, and how far
 * it agrees. Each check keeps the worst of its comparisons.
 */
#ifndef SELFTEST_CHECKS_H
#define SELFTEST_CHECKS_H

#include <stdbool.h>
#include <stddef.h>

enum { CHECKS_MAX = 64, CHECK_NAME = 48, CHECK_GROUPS_MAX = 12 };

struct check_group {
    const char *title;
    const char *source; /* with its mark */
    bool interval;      /* agreement in halves of an interval instead of digits */
};

struct check {
    size_t group;
    char name[CHECK_NAME];
    char worst[CHECK_NAME]; /* the comparison that agrees least; "" if there is only one */
    double expected, got;   /* of the worst */
    double agrees;          /* digits, 15 at most; or |got - expected| / half of the interval */
    double asked;           /* at least so many digits; or at most so much of the half */
    size_t seen;            /* comparisons */
    size_t wanted;          /* so many are due; fewer is a failure */
};

struct checks {
    struct check_group groups[CHECK_GROUPS_MAX];
    size_t n_groups;
    struct check items[CHECKS_MAX];
    size_t n;
};

void checks_init(struct checks *checks);

/* Begins a group; checks that follow belong to it. */
void checks_group(struct checks *checks, const char *title, const char *source, bool interval);

/* Begins a check of `wanted` comparisons. */
void checks_begin(struct checks *checks, const char *name, double asked, size_t wanted);

/* A comparison of the check that was begun last: digits = -log10(|got - expected| / |scale|).
 * A scale of 0 is taken as 1 (a published 0 is compared absolutely). Anything not finite agrees in
 * no digit. */
void checks_see(struct checks *checks, const char *what, double expected, double got, double scale);

/* The same in halves of an interval. half > 0 */
void checks_see_interval(struct checks *checks, const char *what, double truth, double got,
                         double half);

bool check_passed(const struct checks *checks, const struct check *check);
size_t checks_failed(const struct checks *checks);

#endif
