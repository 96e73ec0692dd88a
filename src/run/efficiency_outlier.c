/* The point that lies off the curve of the others: named, with the line to paste. It is never left
 * out by the program. */
#include "run/efficiency_view.h"

#include "fit/combine.h"
#include "fit/distributions.h"
#include "run/advice.h"
#include "run/efficiency_points.h"
#include "run/words.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Chance of naming a point in a test without a slip, all its points together (Bonferroni): the
 * usual 5 %. A point that pulls the curve (Cook's distance over 1) is named from three times what
 * the others scatter by on: our own figure. Source: R. D. Cook, S. Weisberg, Residuals and
 * Influence in Regression (1982), section 2.2.2 (from memory). */
#define OUTLIER_CHANCE 0.05
#define OUTLIER_PULLS_COOK 1.0
#define OUTLIER_PULLS_TIMES 3.0

/* Where the others happen to lie close to their curve, a right point seems far off it. One is named
 * only if it lies beyond what its own stated errors explain, too, and by as much as is printed: our
 * own figures. */
#define OUTLIER_OWN_TIMES 3.0
#define OUTLIER_LEAST 0.001

double view_chance_of(const struct efficiency *e, size_t k)
{
    double dof = (double)e->n - (double)e->form->n_coef - 1;
    double deleted = e->cases[k].deleted;
    if (!(dof >= 1) || !isfinite(deleted))
        return 1;
    return fmin(1, (double)e->n * fit_t_beyond(fabs(deleted), dof));
}

/* As the curve is, pulled by the point: a point's own error shows in its residual only as far as
 * the others hold the curve. */
static bool lies_beyond_its_errors(const struct efficiency *e, size_t k)
{
    const struct fit_case *c = &e->cases[k];
    if (fabs(c->residual) < OUTLIER_LEAST)
        return false;
    double v = fit_curve_variance(e->form, e->curve.coef, &e->used[k]);
    return e->curve.equal_weights ||
           fabs(c->residual) > OUTLIER_OWN_TIMES * sqrt(v * (1 - c->leverage));
}

/* Returns: e->n if there is none. */
static size_t find_outlier(const struct efficiency *e)
{
    size_t worst = e->n;
    for (size_t k = 0; k < e->n; k++) {
        bool pulls = isfinite(e->cases[k].cook) && e->cases[k].cook > OUTLIER_PULLS_COOK &&
                     fabs(e->cases[k].deleted) > OUTLIER_PULLS_TIMES;
        if ((!pulls && !(view_chance_of(e, k) < OUTLIER_CHANCE)) || !lies_beyond_its_errors(e, k))
            continue;
        if (worst == e->n || fabs(e->cases[k].deleted) > fabs(e->cases[worst].deleted))
            worst = k;
    }
    return worst;
}

/* "η₀ = 0.759 ± 0.023, a₁ = 5.55 ± 0.80 W/(m² K)" */
static void tell_coefs(const struct efficiency *e, struct text *out)
{
    for (size_t j = 0; j < e->form->n_coef; j++) {
        const char *symbol = e->form->symbols[j];
        double u, dof;
        efficiency_combined(e, j, &u, &dof);
        char value[WORDS_SIZE];
        words_pm(e->curve.coef[j], fit_coverage_95(dof) * u, view_unit_people(symbol), value,
                 sizeof value);
        text_addf(out, "%s%s = %s", j > 0 ? ", " : "", view_coef_people(symbol), value);
    }
}

/* The curve without the point. What the refit has to complain of is no matter of the run. */
static bool without(const struct efficiency_view *view, size_t point, struct text *out,
                    struct faults *faults)
{
    struct point *points = malloc(view->n * sizeof *points);
    struct faults *own = malloc(sizeof *own);
    bool good = points != NULL && own != NULL;
    if (good) {
        struct efficiency e;
        struct efficiency_request request = efficiency_request(view->run);
        memcpy(points, view->points, view->n * sizeof *points);
        points[point].left_out = true;
        faults_init(own);
        if (efficiency_fit(&e, points, view->n, view->setup, &view->reduction->setup.errors,
                           &request, own)) {
            text_add(out, " Without it: ");
            tell_coefs(&e, out);
            text_add(out, ".");
            efficiency_free(&e);
        } else if (own->worst == FAULT_MACHINE) {
            good = fault_memory(faults);
        }
    } else {
        fault_memory(faults);
    }
    free(points);
    free(own);
    return good;
}

bool view_outlier(const struct efficiency_view *view, struct document *doc, struct faults *faults)
{
    size_t k = find_outlier(view->e);
    if (k == view->e->n)
        return true;
    size_t i = view->e->index[k];
    const struct fit_case *c = &view->e->cases[k];
    struct text rest = {0};
    char chance[32], off[WORDS_SIZE];
    words_chance(view_chance_of(view->e, k), chance, sizeof chance);
    bool good = without(view, i, &rest, faults) && text_ok(&rest, faults) &&
                document_finding(
                    doc, FINDING_ANSWER, true, faults,
                    "Point '%s' lies off the curve of the others: %s percentage points, %.1f "
                    "times what the others scatter by (by chance in %s such tests).%s What to do: "
                    "%s? "
                    "With a reason for it, and only then: 'leave out = %s, REASON' under [run %s].",
                    view->points[i].means->name,
                    words_signed(100 * c->residual, 1, off, sizeof off), fabs(c->deleted), chance,
                    text_string(&rest), advice_words(ADVICE_POINT, view->reduction->from_log),
                    view->points[i].means->name, view->run->name);
    text_free(&rest);
    return good;
}
