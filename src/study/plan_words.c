/* Words that several parts of a plan share, and its numbers. */
#include "study/plan_view.h"

#include "run/words.h"

#include <math.h>
#include <stdio.h>

/* Of two checks that tell the same, the better one is enough. */
static bool is_shown(const struct plan_candidate *const *shown, size_t n,
                     const struct plan_candidate *c)
{
    for (size_t i = 0; i < n; i++)
        if (c->kind == PLAN_CHECK && shown[i]->kind == PLAN_CHECK &&
            shown[i]->channel == c->channel)
            return true;
    return false;
}

size_t plan_shown(const struct plan_view *view, const struct plan_candidate *shown[PLAN_SHOWN])
{
    size_t n = 0, inlets = 0;
    for (size_t i = 0; i < view->plan->n && n < PLAN_SHOWN; i++) {
        const struct plan_candidate *c = &view->plan->items[i];
        if (c->gain < PLAN_SHOWN_GAIN || (c->kind == PLAN_INLET && inlets == PLAN_INLETS_SHOWN) ||
            is_shown(shown, n, c))
            continue;
        inlets += c->kind == PLAN_INLET;
        shown[n++] = c;
    }
    return n;
}

double plan_scale(const struct plan_view *view)
{
    return view->plan->wish.about == PLAN_A1 ? 1.0 : 100.0;
}

const char *plan_unit(const struct plan_view *view)
{
    return view->plan->wish.about == PLAN_A1 ? "W/(m² K)" : "percentage points";
}

/* Places that show two digits or more of the half-width as it is; all amounts share them. */
static int places_of(const struct plan_view *view)
{
    double half = view->plan->with.half * plan_scale(view);
    int places = half > 0 ? 1 - (int)floor(log10(half)) : 1;
    return places < 1 ? 1 : places > 4 ? 4 : places;
}

const char *plan_bare_words(const struct plan_view *view, double amount, char *out, size_t size)
{
    return words_fixed(amount * plan_scale(view), places_of(view), out, size);
}

const char *plan_amount_words(const struct plan_view *view, double amount, char *out, size_t size)
{
    char number[WORDS_SIZE];
    snprintf(out, size, "%s %s", plan_bare_words(view, amount, number, sizeof number),
             plan_unit(view));
    return out;
}

const char *plan_half_words(const struct plan_view *view, double half, char *out, size_t size)
{
    char amount[2 * WORDS_SIZE];
    plan_amount_words(view, half, amount, sizeof amount);
    snprintf(out, size, "± %s", amount);
    return out;
}

const char *plan_answer_words(const struct plan_view *view, char *out, size_t size)
{
    const struct plan *plan = view->plan;
    const char *word = fluid_word(plan->setup.fluid);
    const char *which = plan->setup.basis == BASIS_INLET ? " entering" : "";
    if (plan->wish.about == PLAN_A1)
        snprintf(out, size, "the heat loss a₁");
    else if (plan->wish.about == PLAN_ETA0 || plan->wish.rise_K == 0)
        snprintf(out, size, "the efficiency with the %s%s as warm as the air (η₀)", word, which);
    else
        snprintf(out, size,
                 "the efficiency with the %s%s %.3g K above the air at %.0f W/m² "
                 "(T* %.3f m² K/W)",
                 word, which, plan->wish.rise_K, plan->wish.g_W_m2,
                 plan->wish.rise_K / plan->wish.g_W_m2);
    return out;
}

static bool add_number(const char *id, const char *label, const char *unit, double value,
                       const struct plan_said *said, struct document *doc, struct faults *faults)
{
    struct number number = {.id = (char *)id,
                            .label = (char *)label,
                            .symbol = (char *)"",
                            .unit = (char *)unit,
                            .value = value,
                            .u = said != NULL ? said->u : NAN,
                            .low = said != NULL ? value - said->half : NAN,
                            .high = said != NULL ? value + said->half : NAN,
                            .dof = said != NULL ? said->dof : INFINITY};
    return document_number(doc, &number, faults);
}

bool plan_numbers(const struct plan_view *view, struct document *doc, struct faults *faults)
{
    const struct plan *plan = view->plan;
    const char *unit = plan->wish.about == PLAN_A1 ? "W/(m2 K)" : "";
    const struct plan_said *with = &plan->with;
    if (plan->now.given && !add_number("plan.now", "the answer from the points so far", unit,
                                       plan->now.value, &plan->now, doc, faults))
        return false;
    if (plan->first && !add_number("plan.first", "the answer as the first plan would give it", unit,
                                   with->value, with, doc, faults))
        return false;
    if (plan->limit.given &&
        !add_number("plan.limit", "half of the 95 % interval that no further point takes away",
                    unit, plan->limit.half, NULL, doc, faults))
        return false;
    if (plan->n > 0 && !add_number("plan.best", "half of the 95 % interval with the best addition",
                                   unit, plan->items[0].then.half, NULL, doc, faults))
        return false;
    return add_number("plan.difference.shared",
                      "smallest difference that two such tests on the same instruments would tell",
                      unit, plan_least_difference(with, true), NULL, doc, faults) &&
           add_number(
               "plan.difference.apart",
               "smallest difference that two such tests on instruments of their own would tell",
               unit, plan_least_difference(with, false), NULL, doc, faults);
}
