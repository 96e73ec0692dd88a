/* What a comparison says in words. */
#include "study/compare_view.h"

#include "fit/combine.h"
#include "run/words.h"

#include <math.h>
#include <stdio.h>

size_t compare_points(const struct compare_view *view, const struct difference *difference,
                      double K[COMPARE_POINTS])
{
    double g = view->g_W_m2;
    double from = difference->x_low, to = difference->x_high;
    size_t n = 0;
    if (!(from <= to))
        return 0;
    /* Water as warm as the air is asked for first, and 3 K more belong to the same level. */
    if (from * g > 0 && from * g < DESIGN_LEVEL_WIDTH_K)
        from = 0;
    for (double k = 10 * ceil(from * g / 10 - 1e-9); k <= to * g && n < COMPARE_POINTS; k += 10)
        K[n++] = k == 0 ? 0 : k;
    if (n == 0)
        K[n++] = from * g;
    return n;
}

/* "62 ± 35 W more from each m²" */
static const char *watts(const struct compare_view *view, const struct difference_at *at, char *out,
                         size_t size)
{
    char amount[WORDS_SIZE];
    words_pm(fabs(at->value) * view->g_W_m2, at->half_95 * view->g_W_m2, "W", amount,
             sizeof amount);
    snprintf(out, size, "%s", amount);
    return out;
}

/* Beyond what is stated of the errors, but not all is stated. */
static bool say_open(const struct compare_view *view, const struct difference *difference,
                     const struct difference_at *at, const char *where, struct document *doc,
                     struct faults *faults)
{
    char points[WORDS_SIZE], room[WORDS_SIZE], power[WORDS_SIZE];
    const struct tested *better = at->value >= 0 ? difference->a : difference->b;
    const struct tested *other = at->value >= 0 ? difference->b : difference->a;
    double left = sqrt(fmax(at->value * at->value - at->half_95 * at->half_95, 0));
    words_pm(100 * fabs(at->value), 100 * at->half_95, "percentage points", points, sizeof points);
    words_fixed(100 * left, 1, room, sizeof room);
    return document_finding(
        doc, FINDING_ANSWER, true, faults,
        "%s, %.0f W/m²: '%s' lies above '%s' by %s (%s from each m²), but not "
        "every error is stated and ± is a lower bound: open. It is real if what "
        "is not stated makes less than ±%s points.",
        where, view->g_W_m2, better->name, other->name, points,
        watts(view, at, power, sizeof power), room);
}

static bool say_at(const struct compare_view *view, const struct difference *difference, double K,
                   struct document *doc, struct faults *faults)
{
    struct difference_at at;
    char points[WORDS_SIZE], least[WORDS_SIZE], power[WORDS_SIZE], where[64];
    difference_look(difference, K / view->g_W_m2, view->g_W_m2, &at);
    enum difference_verdict verdict = difference_verdict(&at);
    const char *better = at.value >= 0 ? difference->a->name : difference->b->name;
    const char *other = at.value >= 0 ? difference->b->name : difference->a->name;
    words_pm(100 * fabs(at.value), 100 * at.half_95, "percentage points", points, sizeof points);
    words_fixed(100 * at.least, 1, least, sizeof least);
    if (fabs(K) < 0.5)
        snprintf(where, sizeof where, "With the fluid as warm as the air");
    else
        snprintf(where, sizeof where, "%.0f K above the air", K);
    if (verdict == DIFFERENCE_OPEN)
        return say_open(view, difference, &at, where, doc, faults);
    if (verdict == DIFFERENCE_REAL)
        return document_finding(doc, FINDING_ANSWER, false, faults,
                                "%s, %.0f W/m²: '%s' is better than '%s' by %s (%s from each m²): "
                                "real.",
                                where, view->g_W_m2, better, other, points,
                                watts(view, &at, power, sizeof power));
    return document_finding(
        doc, FINDING_ANSWER, false, faults,
        "%s, %.0f W/m²: cannot tell '%s' from '%s' (%s in favour of '%s'%s). Four of "
        "five such pairs of tests would tell %s points and more.",
        where, view->g_W_m2, difference->a->name, difference->b->name, points, better,
        at.open ? "; not every error is stated, ± is a lower bound" : "", least);
}

/* Lowest, middle and highest operating point. */
static bool say_pair(const struct compare_view *view, const struct difference *difference,
                     struct document *doc, struct faults *faults)
{
    double K[COMPARE_POINTS];
    size_t n = compare_points(view, difference, K);
    if (n == 0)
        return document_finding(doc, FINDING_CANNOT, true, faults,
                                "'%s' and '%s' were tested at different temperatures: there is no "
                                "temperature at which both are known. Points of both at one "
                                "inlet temperature are needed.",
                                difference->a->name, difference->b->name);
    size_t chosen[] = {0, n / 2, n - 1};
    for (size_t i = 0; i < 3; i++)
        if ((i == 0 || chosen[i] != chosen[i - 1]) &&
            !say_at(view, difference, K[chosen[i]], doc, faults))
            return false;
    return true;
}

static double difference_value(const struct compare_view *view, const struct difference *difference,
                               double x)
{
    struct difference_at at;
    difference_look(difference, x, view->g_W_m2, &at);
    return at.value;
}

/* Halves a stretch in which the difference changes its sign. */
static double crossing(const struct compare_view *view, const struct difference *difference,
                       double low, double high)
{
    double at_low = difference_value(view, difference, low);
    for (int i = 0; i < 60; i++) {
        double middle = 0.5 * (low + high);
        if ((difference_value(view, difference, middle) > 0) == (at_low > 0))
            low = middle;
        else
            high = middle;
    }
    return 0.5 * (low + high);
}

/* Where neither is really better, around a crossing: the stretch in which the band holds zero; to
 * the end of what was tested where it does not leave off before. */
static void doubtful(const struct compare_view *view, const struct difference *difference,
                     double at_x, double *from, double *to)
{
    enum { STEPS = 400 };
    double step = (difference->x_high - difference->x_low) / STEPS;
    struct difference_at at;
    *from = *to = at_x;
    for (double x = at_x; x >= difference->x_low; x -= step, *from = fmax(x, difference->x_low)) {
        difference_look(difference, x, view->g_W_m2, &at);
        if (fabs(at.value) > at.half_95)
            break;
    }
    for (double x = at_x; x <= difference->x_high; x += step, *to = fmin(x, difference->x_high)) {
        difference_look(difference, x, view->g_W_m2, &at);
        if (fabs(at.value) > at.half_95)
            break;
    }
}

/* "between 5 and 22 K", "up to 22 K", ... Returns: out */
static const char *doubtful_words(const struct compare_view *view,
                                  const struct difference *difference, double at_x, char *out,
                                  size_t size)
{
    double from, to, g = view->g_W_m2;
    doubtful(view, difference, at_x, &from, &to);
    bool all_below = !(from > difference->x_low), all_above = !(to < difference->x_high);
    if (all_below && all_above)
        snprintf(out, size, "as far as both were tested");
    else if (all_below)
        snprintf(out, size, "up to %.0f K", to * g);
    else if (all_above)
        snprintf(out, size, "from %.0f K on", from * g);
    else
        snprintf(out, size, "between %.0f and %.0f K", from * g, to * g);
    return out;
}

static bool say_crossing(const struct compare_view *view, const struct difference *difference,
                         struct document *doc, struct faults *faults)
{
    enum { STEPS = 200 };
    double step = (difference->x_high - difference->x_low) / STEPS;
    for (int i = 0; i < STEPS && step > 0; i++) {
        double low = difference->x_low + i * step;
        if ((difference_value(view, difference, low) > 0) ==
            (difference_value(view, difference, low + step) > 0))
            continue;
        double x = crossing(view, difference, low, low + step);
        char where[WORDS_SIZE];
        doubtful_words(view, difference, x, where, sizeof where);
        struct difference_at there;
        difference_look(difference, x, view->g_W_m2, &there);
        bool open = there.open;
        return document_finding(doc, FINDING_ANSWER, false, faults,
                                "The curves of '%s' and '%s' cross %.0f K above the air (at %.0f "
                                "W/m²); %s%s neither is really better.",
                                difference->a->name, difference->b->name, x * view->g_W_m2,
                                view->g_W_m2, where,
                                open ? ", and further with what is not stated," : "");
    }
    return true;
}

/* What being the same instrument is worth, in the middle of the range. */
static bool say_shared(const struct compare_view *view, const struct difference *difference,
                       struct document *doc, struct faults *faults)
{
    struct difference_at at;
    size_t n = 0;
    for (size_t i = 0; i < difference->n_rows; i++)
        n += difference->rows[i].by != SHARED_NOT;
    if (!(difference->x_low <= difference->x_high))
        return true;
    difference_look(difference, 0.5 * (difference->x_low + difference->x_high), view->g_W_m2, &at);
    double apart = fit_coverage_95(at.dof) * at.u_apart;
    if (difference->a->is_stated || difference->b->is_stated)
        return true; /* of publications nothing is shared: said with the basis */
    if (n == 0)
        return document_finding(doc, FINDING_UNCERTAINTY, true, faults,
                                "No error is shared by '%s' and '%s': every calibration counts "
                                "against the difference. If both tests used the same instruments, "
                                "say so with the same 'id' in both descriptions.",
                                difference->a->name, difference->b->name);
    return document_finding(doc, FINDING_UNCERTAINTY, false, faults,
                            "%zu error%s shared by '%s' and '%s', which makes ±%.1f percentage "
                            "points of ±%.1f; the table lists what counts as shared and why.",
                            n, n == 1 ? " is" : "s are", difference->a->name, difference->b->name,
                            100 * at.half_95, 100 * apart);
}

/* Whether an earlier point of the test is of the same group. */
static bool group_told(const struct means_list *means, size_t i)
{
    for (size_t k = 0; k < i; k++)
        if (text_same(means->items[k].group, means->items[i].group))
            return true;
    return false;
}

/* " (of 'Red table', 'Blue table')": the groups of a class; nothing where points have none. */
static void add_groups(const struct means_list *means, struct text *out)
{
    size_t told = 0;
    for (size_t i = 0; i < means->n; i++)
        if (means->items[i].group[0] != '\0' && !group_told(means, i))
            text_addf(out, "%s'%s'", told++ == 0 ? " (of " : ", ", means->items[i].group);
    if (told > 0)
        text_add(out, ")");
}

static bool say_tested(const struct compare_view *view, const struct tested *t,
                       struct document *doc, struct faults *faults)
{
    struct text groups = {0};
    add_groups(&t->reduction->means, &groups);
    bool good = text_ok(&groups, faults) &&
                document_finding(doc, FINDING_DETAIL, false, faults,
                                 "'%s': form '%s', %zu points%s, %s, %s area %.3f m².", t->name,
                                 t->e.form->name, t->e.n, text_string(&groups),
                                 t->setup.fluid->name, area_word(view->basis.area),
                                 t->setup.area_m2);
    text_free(&groups);
    return good;
}

static bool say_basis(const struct compare_view *view, struct document *doc, struct faults *faults)
{
    if (!document_finding(
            doc, FINDING_DETAIL, false, faults,
            "All efficiencies here refer to the %s area and to the temperature of the "
            "%s, whatever the descriptions ask for.",
            area_word(view->basis.area),
            view->basis.temperature == BASIS_INLET ? "fluid entering"
                                                   : "fluid between inlet and outlet"))
        return false;
    for (size_t i = 0; i < view->n; i++)
        if (!(view->tests[i].is_stated
                  ? compare_stated(view, &view->tests[i], doc, faults)
                  : say_tested(view, &view->tests[i], doc, faults)))
            return false;
    return document_finding(
        doc, FINDING_DETAIL, false, faults,
        "A cold sky draws more from a black plate than from a selective one, and "
        "a lamp's light suits one coating better than another: neither cancels "
        "where both were tested side by side.");
}

bool compare_answers(const struct compare_view *view, struct document *doc, struct faults *faults)
{
    for (size_t i = 0; i + 1 < view->n; i++)
        if (!say_pair(view, &view->differences[i], doc, faults) ||
            !say_crossing(view, &view->differences[i], doc, faults) ||
            !say_shared(view, &view->differences[i], doc, faults))
            return false;
    return say_basis(view, doc, faults);
}
