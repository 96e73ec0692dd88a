#include "selftest/checks.h"

#include <assert.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

enum { DIGITS_MOST = 15 };
static const double NONE = -99; /* digits of what is not finite */

void checks_init(struct checks *checks)
{
    memset(checks, 0, sizeof *checks);
}

void checks_group(struct checks *checks, const char *title, const char *source, bool interval)
{
    assert(checks->n_groups < CHECK_GROUPS_MAX);
    checks->groups[checks->n_groups++] = (struct check_group){title, source, interval};
}

void checks_begin(struct checks *checks, const char *name, double asked, size_t wanted)
{
    assert(checks->n < CHECKS_MAX && checks->n_groups > 0 && wanted > 0);
    struct check *check = &checks->items[checks->n++];
    *check = (struct check){.group = checks->n_groups - 1, .asked = asked, .wanted = wanted};
    snprintf(check->name, sizeof check->name, "%s", name);
}

static void see(struct checks *checks, const char *what, double expected, double got, double agrees,
                bool worse)
{
    struct check *check = &checks->items[checks->n - 1];
    if (check->seen++ > 0 && !worse)
        return;
    check->expected = expected;
    check->got = got;
    check->agrees = agrees;
    snprintf(check->worst, sizeof check->worst, "%s", check->wanted > 1 ? what : "");
}

void checks_see(struct checks *checks, const char *what, double expected, double got, double scale)
{
    double off = fabs(got - expected) / (scale != 0 ? fabs(scale) : 1);
    double digits = !isfinite(off) ? NONE : off > 0 ? fmin(DIGITS_MOST, -log10(off)) : DIGITS_MOST;
    see(checks, what, expected, got, digits, digits < checks->items[checks->n - 1].agrees);
}

void checks_see_interval(struct checks *checks, const char *what, double truth, double got,
                         double half)
{
    double off = half > 0 ? fabs(got - truth) / half : INFINITY;
    if (isnan(off))
        off = INFINITY;
    see(checks, what, truth, got, off, off > checks->items[checks->n - 1].agrees);
}

bool check_passed(const struct checks *checks, const struct check *check)
{
    if (check->seen != check->wanted)
        return false;
    return checks->groups[check->group].interval ? check->agrees <= check->asked
                                                 : check->agrees >= check->asked;
}

size_t checks_failed(const struct checks *checks)
{
    size_t failed = 0;
    for (size_t i = 0; i < checks->n; i++)
        failed += check_passed(checks, &checks->items[i]) ? 0U : 1U;
    return failed;
}
