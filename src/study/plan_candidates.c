#include "study/plan_candidates.h"

#include "run/words.h"
#include "study/plan_errors.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { INLETS = 6 };
#define NEARLY_AS_GOOD 1.1
#define LEAST_SHARE 0.005 /* of the variance: a quarter of a percent of the half-width */

const char plan_turned_words[] =
    "Caution: a collector that is turned catches the wind; two people, "
    "and no ladder.";
const char plan_hot_words[] =
    "Caution: water this hot scalds within seconds, and a loop that stands "
    "still can make steam: a free relief valve, gloves, nobody else near.";

static bool keep(struct plan *plan, const struct plan_candidate *candidate, struct faults *faults)
{
    if (plan->n == plan->capacity) {
        size_t capacity = plan->capacity == 0 ? 32 : 2 * plan->capacity;
        struct plan_candidate *items = realloc(plan->items, capacity * sizeof *items);
        if (items == NULL)
            return fault_memory(faults);
        plan->items = items;
        plan->capacity = capacity;
    }
    struct plan_candidate *kept = &plan->items[plan->n++];
    *kept = *candidate;
    kept->gain = 1 - kept->then.half / plan->with.half;
    return true;
}

/* Tries what points, or what a registry, would make of the answer. NULL: as it is. */
static bool try_one(struct plan *plan, struct plan_candidate *candidate,
                    const struct means_list *means, const struct error_registry *errors,
                    struct faults *faults)
{
    if (!plan_try(plan, means != NULL ? means : &plan->base,
                  errors != NULL ? errors : &plan->reduction->setup.errors, NULL, &candidate->then,
                  faults))
        return false;
    return !candidate->then.given || keep(plan, candidate, faults);
}

static struct plan_candidate candidate_of(enum plan_kind kind)
{
    return (struct plan_candidate){
        .kind = kind, .caution = "", .inlet_degC = NAN, .rise_K = NAN, .channel = CH_COUNT};
}

static void inlet_words(const struct plan *plan, struct plan_candidate *c)
{
    char count[WORDS_SIZE];
    snprintf(count, sizeof count, "%zu more window%s%s", c->windows, c->windows == 1 ? "" : "s",
             plan->joint ? " near the normal" : "");
    const char *word = fluid_word(plan->setup.fluid);
    if (isfinite(c->inlet_degC) && c->rise_K == 0)
        snprintf(c->what, sizeof c->what, "%s with the %s entering as warm as the air (%.0f °C)",
                 count, word, c->inlet_degC);
    else if (isfinite(c->inlet_degC))
        snprintf(c->what, sizeof c->what,
                 "%s with the %s entering at %.0f °C (%.0f K above the air)", count, word,
                 c->inlet_degC, c->rise_K);
    else
        snprintf(c->what, sizeof c->what, "%s with the %s %.0f K above the air", count, word,
                 c->rise_K);
    bool known = isfinite(c->inlet_degC);
    snprintf(c->brief, sizeof c->brief, "%zu windows at %s%.0f %s", c->windows, known ? "" : "+",
             known ? c->inlet_degC : c->rise_K, known ? "°C" : "K");
    if (known ? c->inlet_degC >= PLAN_HOT_degC : c->rise_K >= PLAN_HOT_K)
        c->caution = plan_hot_words;
    snprintf(c->assumed, sizeof c->assumed, "on one further day, scatter as in the others");
}

static bool try_inlets(struct plan *plan, struct faults *faults)
{
    for (size_t k = 0; k < INLETS; k++) {
        struct plan_candidate c = candidate_of(PLAN_INLET);
        struct means_list list;
        means_list_init(&list);
        bool can = false;
        c.rise_K = round(plan->top_rise_K * (double)k / (INLETS - 1));
        c.inlet_degC = plan->typical.ambient_degC + c.rise_K;
        c.windows = plan->each;
        inlet_words(plan, &c);
        bool good = plan_copy(&plan->base, &list, faults) &&
                    plan_add_level(plan, c.rise_K, -1, &list, &can, faults) &&
                    (!can || try_one(plan, &c, &list, NULL, faults));
        means_list_free(&list);
        if (!good)
            return false;
    }
    return true;
}

/* In: rise_K  of the fluid that enters, above the air */
static bool try_angle(struct plan *plan, double deg, double rise_K, struct faults *faults)
{
    struct plan_candidate c = candidate_of(PLAN_ANGLE);
    struct means_list list;
    char water[WORDS_SIZE] = "entering as warm as the air";
    bool can = false;
    means_list_init(&list);
    c.windows = plan->each;
    c.caution = rise_K >= PLAN_HOT_K ? plan_hot_words : plan_turned_words;
    if (rise_K > 0)
        snprintf(water, sizeof water, "entering %.0f K above the air", rise_K);
    snprintf(c.what, sizeof c.what, "%zu more window%s %.0f° off the normal, the %s %s", c.windows,
             c.windows == 1 ? "" : "s", deg, fluid_word(plan->setup.fluid), water);
    snprintf(c.brief, sizeof c.brief, rise_K > 0 ? "%zu windows %.0f° off, +%.0f K"
                                                 : "%zu windows %.0f° off",
             c.windows, deg, rise_K);
    snprintf(c.assumed, sizeof c.assumed,
             "on one further day: early and late, or the collector turned away");
    bool good = plan_copy(&plan->base, &list, faults) &&
                plan_add_angle(plan, deg * PLAN_K_RAD / 50, rise_K, -1, &list, &can, faults) &&
                (!can || try_one(plan, &c, &list, NULL, faults));
    means_list_free(&list);
    return good;
}

/* Of a modifier alone they say nothing of the curve; fitted together, hot water at an angle tells
 * what cool water there does not. */
static bool try_angles(struct plan *plan, struct faults *faults)
{
    static const double degrees[] = {30, 40, 50, 60};
    const double deg = PLAN_K_RAD / 50;
    double nearest = plan->joint ? plan->near_rad + 5 * deg : plan->run->near_normal_rad;
    if (plan->wish.about != PLAN_K && !plan->joint)
        return true;
    for (size_t k = 0; k < sizeof degrees / sizeof degrees[0]; k++) {
        if (degrees[k] * deg <= nearest)
            continue;
        if (!try_angle(plan, degrees[k], 0, faults) ||
            (plan->joint &&
             !try_angle(plan, degrees[k], round(0.6 * plan->top_rise_K), faults)))
            return false;
    }
    return true;
}

static size_t count_days(const struct means_list *list)
{
    size_t n = 0;
    for (size_t i = 0; i < list->n; i++) {
        bool seen = false;
        for (size_t k = 0; k < i && !seen; k++)
            seen = list->items[k].session == list->items[i].session;
        n += !seen;
    }
    return n;
}

static bool try_again(struct plan *plan, struct faults *faults)
{
    struct plan_candidate c = candidate_of(PLAN_AGAIN);
    struct means_list list;
    means_list_init(&list);
    size_t days = count_days(&plan->base);
    c.windows = plan->base.n;
    snprintf(c.what, sizeof c.what,
             "the same temperatures once more, all %zu windows, on %zu further day%s", plan->base.n,
             days, days == 1 ? "" : "s");
    snprintf(c.brief, sizeof c.brief, "all %zu windows once more", plan->base.n);
    bool good = plan_copy(&plan->base, &list, faults) && plan_add_again(plan, 0, &list, faults) &&
                try_one(plan, &c, &list, NULL, faults);
    means_list_free(&list);
    return good;
}

static double flow_of(const struct plan *plan)
{
    const struct means *m = &plan->typical.means;
    return m->has[CH_FLOW] ? m->mean[CH_FLOW] : m->mean[CH_MASS_FLOW] / 1000.0;
}

static bool try_checks(struct plan *plan, struct faults *faults)
{
    static const struct {
        enum check_kind kind;
        enum channel channel;
        const char *what, *brief, *caution, *assumed;
    } checks[] = {
        {CHECK_TOGETHER, CH_INLET,
         "a check 'thermometers together': hang all of them in one stirred bucket and compare",
         "thermometers together",
         "Caution: no mains heater in the bucket while hands or sensors are in it.",
         "leaves a fifth of what is stated of them, and a step (our figure)"},
        {CHECK_ZERO, CH_INLET,
         "a 'zero check': let the loop run half an hour in the dark, the water as warm as the air",
         "zero check",
         "Caution: let the plate cool first; never let cold water into a hot, empty one.",
         "leaves a fifth of what is stated, and a step; half of the sun sensor's zero (our "
         "figures)"},
        {CHECK_BUCKET, CH_FLOW,
         "a check 'bucket and stopwatch': three fillings of two minutes at the test's own flow",
         "bucket and stopwatch", "Caution: take cold water, not what comes out of a hot collector.",
         "leaves a fifth of what is stated of the meter, and the bucket's error (our figures)"},
    };
    if (plan->typical.means.reduced)
        return true;
    for (size_t i = 0; i < sizeof checks / sizeof checks[0]; i++) {
        struct plan_candidate c = candidate_of(PLAN_CHECK);
        struct error_registry errors;
        if (!plan_check_possible(&plan->reduction->setup, checks[i].kind))
            continue;
        c.channel = checks[i].channel;
        c.caution = checks[i].caution;
        snprintf(c.what, sizeof c.what, "%s", checks[i].what);
        snprintf(c.brief, sizeof c.brief, "%s", checks[i].brief);
        snprintf(c.assumed, sizeof c.assumed, "%s", checks[i].assumed);
        bool good = plan_errors_checked(&plan->reduction->setup, checks[i].kind, flow_of(plan),
                                        &errors, faults) &&
                    try_one(plan, &c, NULL, &errors, faults);
        registry_free(&errors);
        if (!good)
            return false;
    }
    return true;
}

/* What a check that can still be made would do is not proposed a second time as a cure. */
static bool check_does(const struct plan *plan, const struct error_source *row)
{
    static const char *const heads[] = {[CHECK_ZERO] = "a run 'zero check'",
                                        [CHECK_TOGETHER] = "a run 'thermometers together'",
                                        [CHECK_BUCKET] = "a run 'bucket and stopwatch'"};
    for (enum check_kind kind = CHECK_ZERO; kind <= CHECK_BUCKET; kind++)
        if (text_starts(row->cure, heads[kind]))
            return !plan->typical.means.reduced &&
                   plan_check_possible(&plan->reduction->setup, kind);
    return false;
}

/* Cured with an earlier row already. Out: more  whether others go with this one */
static bool cured_before(const struct error_registry *rows, size_t row, bool *more)
{
    *more = false;
    for (size_t i = 0; i < rows->n; i++) {
        bool together = i != row && rows->rows[i].u > 0 &&
                        plan_cured_together(&rows->rows[i], &rows->rows[row]);
        if (together && i < row)
            return true;
        *more |= together;
    }
    return false;
}

/* Whether a row, with those that are cured with it, makes enough of the answer's variance to be
 * worth a trial. Of readings only their sum is known. */
static bool counts(const struct plan *plan, size_t row)
{
    const struct error_registry *rows = &plan->reduction->setup.errors;
    double sum = 0, all = plan->with.u * plan->with.u;
    for (size_t i = 0; i < rows->n; i++)
        if (i == row || plan_cured_together(&rows->rows[i], &rows->rows[row]))
            sum += rows->rows[i].kind == ERROR_READING ? plan->with.reading
                                                       : plan->row_u[i] * plan->row_u[i];
    return sum > LEAST_SHARE * all;
}

static void cure_words(const struct error_source *row, bool more, struct plan_candidate *c)
{
    const char *like = more ? " (and its like)" : "";
    const char *dot = strrchr(row->id, '.');
    int length = dot == NULL ? 0 : (int)(dot - row->id);
    if (more && plan_by_calibration(row)) {
        snprintf(c->what, sizeof c->what,
                 "have '%.*s' calibrated, or compare it with a better one for a clear day: just "
                 "before the test, outdoors, at the collector's tilt",
                 length, row->id);
        snprintf(c->brief, sizeof c->brief, "calibration of '%.*s'", length, row->id);
        snprintf(c->assumed, sizeof c->assumed,
                 "factor 1.2 %% or 0.7 %%, a fifth of the rest that goes with it (our figures)");
        return;
    }
    snprintf(c->what, sizeof c->what, "%s%s: %s", row->label, like, row->cure);
    snprintf(c->brief, sizeof c->brief, "%.90s", row->label);
    snprintf(c->assumed, sizeof c->assumed, "%.0f %% of it are left (our figure)",
             100 * plan_cured_u(row) / row->u);
}

static bool try_cures(struct plan *plan, struct faults *faults)
{
    const struct error_registry *rows = &plan->reduction->setup.errors;
    for (size_t i = 0; i < rows->n; i++) {
        const struct error_source *row = &rows->rows[i];
        struct plan_candidate c = candidate_of(PLAN_CURE);
        struct error_registry errors;
        bool more;
        if (row->cure[0] == '\0' || !(row->u > 0) || check_does(plan, row) ||
            cured_before(rows, i, &more) || !counts(plan, i) ||
            (!more && !(plan_cured_u(row) < 0.9 * row->u)))
            continue;
        c.channel = plan_matter(row);
        cure_words(row, more, &c);
        bool good = plan_errors_cured(&plan->reduction->setup, i, &errors, faults) &&
                    try_one(plan, &c, NULL, &errors, faults);
        registry_free(&errors);
        if (!good)
            return false;
    }
    return true;
}

/* The best kind for one instrument (for inlet and outlet together), if it betters anything. */
static bool try_kinds(struct plan *plan, const struct instrument *in, struct faults *faults)
{
    struct plan_candidate best = candidate_of(PLAN_BETTER);
    best.then.half = plan->with.half * (1 - 1e-9);
    for (size_t k = 0; k < instrument_kinds_n; k++) {
        struct error_registry errors;
        struct plan_said said;
        if (!kind_measures(&instrument_kinds[k], in->channel))
            continue;
        bool good =
            plan_errors_replaced(&plan->reduction->setup, in->channel, k, &errors, faults) &&
            plan_try(plan, &plan->base, &errors, NULL, &said, faults);
        registry_free(&errors);
        if (!good)
            return false;
        if (!said.given || !(said.half < best.then.half))
            continue;
        best.then = said;
        best.channel = in->channel == CH_MASS_FLOW ? CH_FLOW : in->channel;
        snprintf(best.what, sizeof best.what, "a better instrument for %s: %s%s",
                 channel_row(in->channel)->label, instrument_kinds[k].name,
                 in->channel == CH_INLET ? ", and one for the outlet" : "");
        snprintf(best.brief, sizeof best.brief, "%s", instrument_kinds[k].name);
        snprintf(best.assumed, sizeof best.assumed, "errors of that kind as documented");
    }
    return best.channel == CH_COUNT || keep(plan, &best, faults);
}

/* The same of everything that one instrument errs by. */
static bool instrument_counts(const struct plan *plan, enum channel channel)
{
    const struct error_registry *rows = &plan->reduction->setup.errors;
    double sum = 0, all = plan->with.u * plan->with.u;
    enum channel matter = channel == CH_MASS_FLOW ? CH_FLOW : channel;
    for (size_t i = 0; i < rows->n; i++)
        if (plan_matter(&rows->rows[i]) == matter)
            sum += rows->rows[i].kind == ERROR_READING ? plan->with.reading
                                                       : plan->row_u[i] * plan->row_u[i];
    return sum > LEAST_SHARE * all;
}

static bool try_better(struct plan *plan, struct faults *faults)
{
    const struct test_setup *setup = &plan->reduction->setup;
    for (size_t i = 0; i < setup->n_instruments; i++)
        if (setup->instruments[i].channel != CH_OUTLET &&
            instrument_counts(plan, setup->instruments[i].channel) &&
            !try_kinds(plan, &setup->instruments[i], faults))
            return false;
    return true;
}

/* A new instrument is not proposed where a check or a cure of the old one does nearly as much. */
static void drop_dear(struct plan *plan)
{
    size_t n = 0;
    for (size_t i = 0; i < plan->n; i++) {
        const struct plan_candidate *c = &plan->items[i];
        bool dear = false;
        for (size_t k = 0; c->kind == PLAN_BETTER && k < plan->n && !dear; k++)
            dear = (plan->items[k].kind == PLAN_CHECK || plan->items[k].kind == PLAN_CURE) &&
                   plan->items[k].channel == c->channel &&
                   plan->items[k].then.half <= NEARLY_AS_GOOD * c->then.half;
        if (!dear)
            plan->items[n++] = plan->items[i];
    }
    plan->n = n;
}

static int by_half(const void *a, const void *b)
{
    const struct plan_candidate *x = a, *y = b;
    if (x->then.half != y->then.half)
        return x->then.half < y->then.half ? -1 : 1;
    return strcmp(x->what, y->what);
}

bool plan_try_all(struct plan *plan, struct faults *faults)
{
    if (!try_inlets(plan, faults) || !try_angles(plan, faults) || !try_again(plan, faults) ||
        !try_checks(plan, faults) || !try_cures(plan, faults) || !try_better(plan, faults))
        return false;
    drop_dear(plan);
    if (plan->n > 0)
        qsort(plan->items, plan->n, sizeof *plan->items, by_half);
    return true;
}
