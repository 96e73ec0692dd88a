/* What a plan says in words. */
#include "study/plan_view.h"

#include "base/files.h"
#include "run/words.h"

#include <math.h>
#include <stdio.h>

#define LEFT_COUNTS 0.05 /* share of the variance */
enum { HALF_SIZE = 2 * WORDS_SIZE, ANSWER_SIZE = 240 };

/* "48 ± 11 %", or the coefficient with its unit. */
static const char *value_words(const struct plan_view *view, const struct plan_said *said,
                               char *out, size_t size)
{
    if (view->plan->wish.about == PLAN_K)
        return words_pm(said->value, said->half, "", out, size);
    if (view->plan->wish.about == PLAN_A1)
        return words_pm(said->value, said->half, "W/(m² K)", out, size);
    return words_percent(said->value, said->half, out, size);
}

static bool say_now(const struct plan_view *view, struct document *doc, struct faults *faults)
{
    const struct plan *plan = view->plan;
    char answer[ANSWER_SIZE], value[WORDS_SIZE];
    plan_answer_words(view, answer, sizeof answer);
    if (plan->now.given)
        return document_finding(doc, FINDING_ANSWER, false, faults,
                                "Asked: %s. The %zu points so far give %s.", answer, plan->now.n,
                                value_words(view, &plan->now, value, sizeof value));
    if (!document_finding(doc, FINDING_ANSWER, false, faults, "Asked: %s.", answer))
        return false;
    if (view->before)
        return true;
    if (plan->reduction->means.n == 0)
        return document_finding(
            doc, FINDING_CANNOT, true, faults,
            "The readings so far hold no steady window: 'etabench check %s' says "
            "why. The plan starts from nothing.",
            plan->reduction->setup.path);
    return document_finding(doc, FINDING_CANNOT, true, faults,
                            "The points so far cannot give it: %s.%s", plan->now.why_not,
                            plan->dropped
                                ? " No reading error is stated for them, so that they are "
                                  "not counted in the plan."
                                : "");
}

static void level_words(const struct plan *plan, char *out, size_t size)
{
    size_t length = 0;
    out[0] = '\0';
    for (size_t k = 0; k < plan->first_levels && length < size; k++) {
        const char *sep = k == 0 ? "" : k + 1 == plan->first_levels ? " and " : ", ";
        bool known = isfinite(plan->typical.ambient_degC);
        double shown = plan->first_rise_K[k] + (known ? plan->typical.ambient_degC : 0);
        length += (size_t)snprintf(out + length, size - length, "%s%.0f", sep, shown);
    }
}

static double warmest_degC(const struct plan *plan)
{
    double warmest = -INFINITY;
    for (size_t k = 0; k < plan->first_levels; k++)
        warmest = fmax(warmest, plan->typical.ambient_degC + plan->first_rise_K[k]);
    return warmest;
}

static bool say_levels(const struct plan_view *view, struct document *doc, struct faults *faults)
{
    const struct plan *plan = view->plan;
    char levels[120], air[48] = "";
    bool known = isfinite(plan->typical.ambient_degC), hot = warmest_degC(plan) >= PLAN_HOT_degC;
    if (plan->first_levels == 0)
        return true;
    level_words(plan, levels, sizeof levels);
    if (known)
        snprintf(air, sizeof air, ", with the air at %.0f °C", plan->typical.ambient_degC);
    return document_finding(doc, FINDING_ANSWER, false, faults,
                            "%s: %zu steady window%s with the %s %s at each of %s %s%s, %s.%s%s",
                            plan->measured.n > 0 ? "What is missing first" : "A first plan",
                            plan->each, plan->each == 1 ? "" : "s", fluid_word(plan->setup.fluid),
                            known ? "entering" : "above the air", levels, known ? "°C" : "K", air,
                            plan->one_day ? "all on one day"
                                          : "each temperature on a day of its own",
                            hot ? " " : "", hot ? plan_hot_words : "");
}

static bool say_first(const struct plan_view *view, struct document *doc, struct faults *faults)
{
    const struct plan *plan = view->plan;
    char half[HALF_SIZE];
    if (!plan->first)
        return true;
    if (!say_levels(view, doc, faults))
        return false;
    if (plan->first_angle && plan->joint &&
        !document_finding(
            doc, FINDING_ANSWER, false, faults,
            "As many again at the same temperatures 50° off the normal: early and late "
            "in the day, or with the collector turned away. %s",
            plan_turned_words))
        return false;
    if (plan->first_angle && !plan->joint &&
        !document_finding(
            doc, FINDING_ANSWER, false, faults,
            "%s: %zu window%s 50° off the normal, the %s entering as warm as the air. %s",
            plan->first_levels > 0 ? "Beside these" : "What is missing first", plan->each,
            plan->each == 1 ? "" : "s", fluid_word(plan->setup.fluid), plan_turned_words))
        return false;
    return document_finding(doc, FINDING_ANSWER, false, faults,
                            "That would give %s; with one of these added:",
                            plan_half_words(view, plan->with.half, half, sizeof half));
}

static bool say_ranked(const struct plan_view *view, struct document *doc, struct faults *faults)
{
    const struct plan_candidate *shown[PLAN_SHOWN];
    size_t n = plan_shown(view, shown);
    const char *last = "";
    for (size_t i = 0; i < n; i++) {
        char half[HALF_SIZE];
        const char *caution = shown[i]->caution;
        bool again = caution[0] != '\0' && caution == last;
        last = caution[0] != '\0' ? caution : last;
        if (!document_finding(doc, FINDING_ANSWER, false, faults, "%zu. %s (%.0f %% less): %s.%s%s",
                              i + 1, plan_half_words(view, shown[i]->then.half, half, sizeof half),
                              100 * shown[i]->gain, shown[i]->what, caution[0] == '\0' ? "" : " ",
                              again ? "Caution as above." : caution))
            return false;
    }
    if (n == PLAN_SHOWN)
        return true;
    return document_finding(
        doc, FINDING_ANSWER, false, faults, "%s takes %.0f %% or more off the half-width.",
        n == 0 ? "Nothing that the program knows" : "Nothing else that the program knows",
        100 * PLAN_SHOWN_GAIN);
}

/* What stays however many points are taken. */
static bool say_limit(const struct plan_view *view, struct document *doc, struct faults *faults)
{
    const struct plan *plan = view->plan;
    const struct plan_said *limit = &plan->limit;
    char half[HALF_SIZE];
    if (!limit->given)
        return true;
    plan_half_words(view, limit->half, half, sizeof half);
    if (limit->n_top == 0 || !(limit->half > 1e-6 * plan->with.half))
        return document_finding(
            doc, FINDING_UNCERTAINTY, true, faults,
            "No calibration error is stated that would stay: by what is stated, "
            "further points help without end. State the instruments' errors "
            "before you believe that.");
    const struct plan_top *top = &limit->top[0];
    if (plan_points_end(plan))
        return document_finding(doc, FINDING_ANSWER, false, faults,
                                "No further point helps: with points for ever, %s would stay. What "
                                "limits you is %s.",
                                half, top->label);
    bool bent = limit->left > LEFT_COUNTS * limit->u * limit->u;
    return document_finding(doc, FINDING_UNCERTAINTY, false, faults,
                            "At best, with these windows taken again for ever: %s. That is "
                            "calibration, which does not average down%s; most of it is %s.",
                            half, bent ? ", and the bend that so few temperatures cannot tell" : "",
                            top->label);
}

static bool say_parts(const struct plan_view *view, struct document *doc, struct faults *faults)
{
    const struct plan_said *said = &view->plan->with;
    char text[4][WORDS_SIZE], whole[HALF_SIZE];
    const double parts[4] = {said->reading, said->session, said->calibration, said->left};
    double factor = said->u > 0 ? said->half / said->u : 0;
    for (size_t i = 0; i < 4; i++)
        plan_bare_words(view, factor * sqrt(parts[i]), text[i], sizeof text[i]);
    return document_finding(
        doc, FINDING_UNCERTAINTY, false, faults,
        "Of these %s: readings %s, what is new each day %s, calibration %s, what "
        "the form leaves out %s (they add as squares).",
        plan_half_words(view, said->half, whole, sizeof whole), text[0], text[1], text[2], text[3]);
}

static bool say_difference(const struct plan_view *view, struct document *doc,
                           struct faults *faults)
{
    const struct plan_said *said = &view->plan->with;
    char shared[HALF_SIZE], apart[HALF_SIZE];
    plan_amount_words(view, plan_least_difference(said, true), shared, sizeof shared);
    plan_amount_words(view, plan_least_difference(said, false), apart, sizeof apart);
    return document_finding(
        doc, FINDING_UNCERTAINTY, false, faults,
        "Two such tests would tell collectors apart that differ by %s (in four of five such "
        "pairs), "
        "one after the other on the same instruments; by %s with instruments of their own, but by "
        "about %s too if these change places half-way ('swap' in [instrument NAME]).",
        shared, apart, shared);
}

bool plan_answers(const struct plan_view *view, struct document *doc, struct faults *faults)
{
    return say_now(view, doc, faults) && say_first(view, doc, faults) &&
           say_ranked(view, doc, faults) && say_limit(view, doc, faults) &&
           say_parts(view, doc, faults) && say_difference(view, doc, faults);
}

/* Before the first day a check that is made from the log is one of the additions. */
static bool say_checks(const struct plan_view *view, struct document *doc, struct faults *faults)
{
    const struct test_setup *setup = &view->reduction->setup;
    bool stretch = false;
    for (size_t i = 0; i < setup->n_runs; i++)
        stretch |= run_is_check(&setup->runs[i]) && setup->runs[i].check.stretch;
    return !view->before || !stretch ||
           document_finding(doc, FINDING_NOT_STATED, false, faults,
                            "The check runs of the description are not counted: they are made from "
                            "the log. What they would give stands among the additions.");
}

static bool say_source(const struct plan_view *view, struct document *doc, struct faults *faults)
{
    const struct test_setup *setup = &view->reduction->setup;
    const struct stated_list *files = setup->log.given ? &setup->log.files : &setup->points.files;
    if (!view->before)
        return true;
    if (view->asked || files->n == 0)
        return document_finding(doc, FINDING_NOT_STATED, false, faults,
                                "Planned from the description alone: %s.",
                                view->asked ? "the readings, if there are any, were left aside"
                                            : "it names no log and no points");
    return document_finding(doc, FINDING_NOT_STATED, false, faults,
                            "Planned from the description alone: '%s'%s not there yet.",
                            files->items[0].text, files->n == 1 ? " is" : " and the others are");
}

static bool say_prior(const struct plan_view *view, struct document *doc, struct faults *faults)
{
    const struct plan_typical *t = &view->plan->typical;
    if (view->plan->joint &&
        !document_finding(doc, FINDING_DETAIL, false, faults,
                          "Curve and modifier are fitted together: planned windows near the normal "
                          "stand %.0f° off it%s, those further off have less sunshine.",
                          view->plan->near_rad * 180 / M_PI,
                          view->plan->measured.n > 0 ? ", as near as points came" : ""))
        return false;
    if (t->prior == PRIOR_MEASURED)
        return document_finding(
            doc, FINDING_DETAIL, false, faults,
            "Planned windows are taken to lie on the curve that was measured, "
            "with the sunshine, air, flow and scatter of the test's middle point "
            "(%.0f W/m²).",
            t->g_W_m2);
    return document_finding(
        doc, FINDING_NOT_STATED, false, faults,
        "%s: η₀ %.2f, a₁ %.1f W/(m² K), a₂ %.3f W/(m² K²). Taken too: %.0f W/m²%s.",
        t->prior == PRIOR_BUILT
            ? "Taken as the curve: what the construction should give"
            : "Taken as the curve, for want of a measured one: a usual flat plate "
              "(our figures)",
        t->coef[0], t->coef[1], t->coef[2], t->g_W_m2,
        t->scatter_taken
            ? ", and readings that scatter by 0.5 % of sunshine and flow and by 0.03 K "
              "from window to window (our figures)"
            : ", and the scatter of the points so far");
}

bool plan_details(const struct plan_view *view, struct document *doc, struct faults *faults)
{
    if (!say_source(view, doc, faults) || !say_checks(view, doc, faults) ||
        !say_prior(view, doc, faults))
        return false;
    if (view->plan->calm &&
        !document_finding(
            doc, FINDING_NOT_STATED, false, faults,
            "Planned without the wind's term that [run %s] asks for: what winds there "
            "will be is not known.",
            view->plan->run->name))
        return false;
    if (!document_finding(
            doc, FINDING_DETAIL, false, faults,
            "Each addition was tried on its own: all points formed and fitted anew with "
            "it, in the form that 'reduce' would choose. Two together give less than "
            "both gains added."))
        return false;
    return document_finding(
        doc, FINDING_DETAIL, false, faults,
        "Hot water, steam, pressure, glass and height: the cautions of the test "
        "hold for every addition. Local codes and a licensed practitioner have the "
        "last word.");
}
