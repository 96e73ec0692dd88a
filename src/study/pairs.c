#include "study/pairs.h"

#include "base/text.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const struct means *means_of(const struct tested *t, size_t i)
{
    return t->points[t->e.index[i]].means;
}

static bool all_timed(const struct tested *t)
{
    for (size_t i = 0; i < t->e.n; i++)
        if (!means_of(t, i)->timed)
            return false;
    return true;
}

static bool overlap(const struct means *a, const struct means *b, struct pair *pair)
{
    pair->start_us = a->start_us > b->start_us ? a->start_us : b->start_us;
    pair->end_us = a->end_us < b->end_us ? a->end_us : b->end_us;
    if (pair->end_us <= pair->start_us)
        return false;
    double of_a = (double)(a->end_us - a->start_us), of_b = (double)(b->end_us - b->start_us);
    double both = (double)(pair->end_us - pair->start_us);
    pair->overlap = both / fmax(of_a, of_b);
    pair->common = both / sqrt(of_a * of_b);
    return pair->overlap >= PAIRS_OVERLAP;
}

static void bring(const struct tested *a, const struct tested *b, struct pair *pair)
{
    const struct fit_condition *x = &a->e.used[pair->a].at, *y = &b->e.used[pair->b].at;
    pair->at = (struct fit_condition){.x = 0.5 * (x->x + y->x),
                                      .g = 0.5 * (x->g + y->g),
                                      .wind = 0.5 * (x->wind + y->wind)};
    pair->apart_K = a->points[a->e.index[pair->a]].value.difference_K -
                    b->points[b->e.index[pair->b]].value.difference_K;
    pair->alike = fabs(pair->apart_K) <= DESIGN_LEVEL_WIDTH_K;
}

static int by_time(const void *one, const void *other)
{
    const struct pair *x = one, *y = other;
    return (x->start_us > y->start_us) - (x->start_us < y->start_us);
}

static bool match(struct pairs *pairs, const struct tested *a, const struct tested *b,
                  struct faults *faults)
{
    pairs->items = calloc(a->e.n + 1, sizeof *pairs->items);
    if (pairs->items == NULL)
        return fault_memory(faults);
    for (size_t i = 0; i < a->e.n; i++)
        for (size_t k = 0; k < b->e.n; k++) {
            struct pair pair = {.a = i, .b = k};
            if (!overlap(means_of(a, i), means_of(b, k), &pair))
                continue;
            bring(a, b, &pair);
            pairs->items[pairs->n++] = pair;
            pairs->n_alike += pair.alike;
            break; /* there is no second one */
        }
    qsort(pairs->items, pairs->n, sizeof *pairs->items, by_time);
    return true;
}

/* What the points of one test in the pairs can hold. */
static bool audit(const struct pairs *pairs, const struct tested *t, bool first,
                  struct design *design, struct faults *faults)
{
    struct point *points = calloc(pairs->n + 1, sizeof *points);
    size_t n = 0;
    if (points == NULL)
        return fault_memory(faults);
    for (size_t i = 0; i < pairs->n; i++)
        if (pairs->items[i].alike) {
            size_t of = first ? pairs->items[i].a : pairs->items[i].b;
            points[n++] = t->points[t->e.index[of]];
        }
    design_audit(design, points, n, NAN);
    free(points);
    return true;
}

/* Mean, line, second order. */
static size_t order(const char *form)
{
    return text_starts(form, "second") ? 2 : text_starts(form, "line") ? 1 : 0;
}

static const struct fit_form *form_of(size_t order, bool wind)
{
    static const char *const names[][2] = {{"mean", "mean"},
                                           {"line", "line with wind"},
                                           {"second order", "second order with wind"}};
    return fit_form_find(names[order][wind]);
}

/* The richest that both sides of the pairs hold, so that no look at the numbers narrows it; no
 * richer than asked for where both descriptions fix their form. */
static void choose_form(struct pairs *pairs, const struct tested *a, const struct tested *b,
                        const struct design *of_b)
{
    const char *best_a = design_best_form(&pairs->design), *best_b = design_best_form(of_b);
    bool fixed = a->run->form != FORM_AUTOMATIC && b->run->form != FORM_AUTOMATIC;
    size_t of_curves = order(a->e.form->name), held = 0;
    if (order(b->e.form->name) > of_curves)
        of_curves = order(b->e.form->name);
    if (best_a != NULL && best_b != NULL)
        held = order(best_a) < order(best_b) ? order(best_a) : order(best_b);
    bool wind = a->e.form->with_wind || b->e.form->with_wind;
    const struct fit_form *form = form_of(fixed && of_curves < held ? of_curves : held, wind);
    bool good = held >= of_curves && design_holds(&pairs->design, form->name) &&
                design_holds(of_b, form->name) &&
                (!wind || a->setup.wind_origin_m_s == b->setup.wind_origin_m_s);
    pairs->form = good ? form : NULL;
    pairs->unbent = good && !fixed && order(form->name) == 1;
    if (!good)
        pairs->path = PAIRS_FORM;
}

/* Whether they reach both ends of the range, but for what still is of the same level. */
static bool reaches(const struct pairs *pairs, double x_low, double x_high)
{
    double low = INFINITY, high = -INFINITY, g = 0;
    for (size_t i = 0; i < pairs->n; i++) {
        if (!pairs->items[i].alike)
            continue;
        low = fmin(low, pairs->items[i].at.x);
        high = fmax(high, pairs->items[i].at.x);
        g = fmax(g, pairs->items[i].at.g);
    }
    return x_low <= x_high && (low - x_low) * g <= DESIGN_LEVEL_WIDTH_K &&
           (x_high - high) * g <= DESIGN_LEVEL_WIDTH_K;
}

bool pairs_find(struct pairs *pairs, const struct tested *a, const struct tested *b, double x_low,
                double x_high, struct faults *faults)
{
    struct design of_b;
    memset(pairs, 0, sizeof *pairs);
    if (a->is_stated || b->is_stated || !all_timed(a) || !all_timed(b)) {
        pairs->path = a->is_stated || b->is_stated ? PAIRS_STATED : PAIRS_UNTIMED;
        return true;
    }
    if (!match(pairs, a, b, faults))
        return false;
    if (pairs->n_alike < PAIRS_LEAST) {
        pairs->path = pairs->n == 0 ? PAIRS_APART : PAIRS_FEW;
        return true;
    }
    if (!audit(pairs, a, true, &pairs->design, faults) || !audit(pairs, b, false, &of_b, faults))
        return false;
    choose_form(pairs, a, b, &of_b);
    if (pairs->path == PAIRS_TAKEN && !reaches(pairs, x_low, x_high))
        pairs->path = PAIRS_REACH;
    if (pairs->path != PAIRS_TAKEN)
        pairs->form = NULL;
    return true;
}

void pairs_free(struct pairs *pairs)
{
    free(pairs->items);
    pairs->items = NULL;
    pairs->n = pairs->n_alike = 0;
}

const char *pairs_path_words(const struct pairs *pairs, char *out, size_t size)
{
    static const char *const words[] = {
        [PAIRS_TAKEN] = "",
        [PAIRS_STATED] = "a publication has no windows",
        [PAIRS_UNTIMED] = "points without their times cannot be paired",
        [PAIRS_APART] = "no window of one shares three quarters of its time with one of the other",
        [PAIRS_FORM] = "the windows at the same times hold less than the curves do",
        [PAIRS_REACH] = "the windows at the same times do not reach as far as both tests do",
    };
    if (pairs->path != PAIRS_FEW)
        snprintf(out, size, "%s", words[pairs->path]);
    else
        snprintf(out, size,
                 "of %zu pair%s of windows at the same time %zu %s fluids within %.0f K of "
                 "each other, and %d are needed",
                 pairs->n, pairs->n == 1 ? "" : "s", pairs->n_alike,
                 pairs->n_alike == 1 ? "has" : "have", DESIGN_LEVEL_WIDTH_K, PAIRS_LEAST);
    return out;
}
