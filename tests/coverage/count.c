#include "study.h"

#include "fit/combine.h"
#include "run/modifier.h"
#include "study/difference.h"

#include <math.h>
#include <stdlib.h>

static void count(struct study *s, enum method method, size_t what, double value, double half)
{
    double off = fabs(value - s->truth[what]);
    s->held[method][what] += off <= half;
    if (method == PROGRAM)
        s->off[what][s->seen] = off / half;
}

static void fill_terms(const struct efficiency *e, double x, double *terms)
{
    struct fit_condition at = {.x = x, .g = STUDY_G_W_M2};
    e->form->terms(&at, terms);
}

static void count_curve(struct study *s, enum method method)
{
    const struct efficiency *e = &s->a.e;
    struct fit_parts parts = efficiency_parts(e);
    for (size_t j = 0; j < e->form->n_coef; j++) {
        double u, dof;
        efficiency_combined(e, j, &u, &dof);
        count(s, method, j, e->curve.coef[j], fit_coverage_95(dof) * u);
    }
    for (size_t k = 0; k < PLACES; k++) {
        double terms[FIT_FORM_MAX_COEF];
        struct fit_band band;
        fill_terms(e, s->x[k], terms);
        fit_band_curve(&parts, terms, &band);
        count(s, method, AT_PLACES + k, band.value, band.half_95);
    }
}

static double plain_value(const struct efficiency *e, double x, double *variance)
{
    double terms[FIT_FORM_MAX_COEF];
    fill_terms(e, x, terms);
    *variance = e->plain.s * e->plain.s * fit_variance(terms, e->plain.cov_unit, e->plain.p);
    return fit_dot(terms, e->plain.coef, e->plain.p);
}

static void count_plain_curve(struct study *s)
{
    const struct fit_linear *plain = &s->a.e.plain;
    double times = fit_coverage_95((double)plain->dof), variance;
    for (size_t j = 0; j < plain->p; j++)
        count(s, PLAIN, j, plain->coef[j], times * fit_linear_std_error(plain, j));
    for (size_t k = 0; k < PLACES; k++) {
        double value = plain_value(&s->a.e, s->x[k], &variance);
        count(s, PLAIN, AT_PLACES + k, value, times * sqrt(variance));
    }
}

/* What a spreadsheet gives: each point's efficiency beside its curve's, over eta0; a line through 0
 * against 1/cos - 1. The diffuse light counts as beam. */
static void count_plain_modifier(struct study *s)
{
    const struct side *a = &s->a;
    const double *b = a->e.plain.coef;
    double tt = 0, ty = 0, rss = 0, n = (double)(a->total - a->n);
    double at = 1 / cos(STUDY_K_RAD) - 1;
    for (int pass = 0; pass < 2; pass++)
        for (size_t i = a->n; i < a->total; i++) {
            const struct point *p = &a->points[i];
            double variance, eta = plain_value(&a->e, p->value.x, &variance);
            double t = 1 / cos(p->value.incidence_rad) - 1, y = (eta - p->value.eta) / b[0];
            tt += pass == 0 ? t * t : 0;
            ty += pass == 0 ? t * y : 0;
            rss += pass == 0 ? 0 : (y - t * ty / tt) * (y - t * ty / tt);
        }
    count(s, PLAIN, AT_K50, 1 - at * ty / tt,
          fit_coverage_95(n - 1) * at * sqrt(rss / (n - 1) / tt));
}

static void count_modifier(struct study *s, enum method method)
{
    struct side *a = &s->a;
    struct modifier m;
    study_need(modifier_fit(&m, &a->e, a->points, a->total, &a->setup,
                            &a->reductions[method]->setup.errors, FIT_MODIFIER_B0,
                            FIT_SCALE_AT_LEAST, &s->faults),
               s);
    struct fit_band k = modifier_at(&m, STUDY_K_RAD);
    count(s, method, AT_K50, k.value, k.half_95);
    modifier_free(&m);
}

/* Borrowed. The points have no time, so that the curves are compared and not pairs of points. */
static struct tested tested_of(struct side *side, enum method method)
{
    return (struct tested){.reduction = side->reductions[method],
                           .setup = side->setup,
                           .points = side->points,
                           .e = side->e};
}

static void count_difference(struct study *s, enum method method)
{
    struct tested a = tested_of(&s->a, method), b = tested_of(&s->b, method);
    struct difference difference;
    struct difference_at at;
    study_need(difference_init(&difference, &a, &b, &s->faults), s);
    difference_look(&difference, STUDY_DIFFERENCE_X, STUDY_G_W_M2, &at);
    count(s, method, AT_DIFFERENCE, at.value, at.half_95);
    difference_free(&difference);
}

static void count_plain_difference(struct study *s)
{
    double of_a, of_b, dof = (double)(s->a.e.plain.dof + s->b.e.plain.dof);
    double value = plain_value(&s->a.e, STUDY_DIFFERENCE_X, &of_a);
    value -= plain_value(&s->b.e, STUDY_DIFFERENCE_X, &of_b);
    count(s, PLAIN, AT_DIFFERENCE, value, fit_coverage_95(dof) * sqrt(of_a + of_b));
}

static void fit(struct study *s, struct side *side, const struct cell *cell, enum method method)
{
    const struct error_registry *registry = &side->reductions[method]->setup.errors;
    struct efficiency_request request = {
        .form = cell->form, .scale = FIT_SCALE_AT_LEAST, .drop_below = 2};
    for (size_t i = 0; i < side->total; i++) {
        study_need(
            point_make(&side->points[i], &side->means[i], &side->setup, registry, &s->faults), s);
        side->points[i].left_out = side->points[i].oblique = false;
    }
    modifier_keep_apart(side->points, side->total, STUDY_NEAR_RAD);
    study_need(efficiency_fit(&side->e, side->points, side->total, &side->setup, registry, &request,
                              &s->faults),
               s);
    study_need(side->e.n == side->n, s);
}

void study_count(struct study *s, const struct cell *cell)
{
    for (int method = PROGRAM; method < PLAIN; method++) {
        fit(s, &s->a, cell, (enum method)method);
        fit(s, &s->b, cell, (enum method)method);
        count_curve(s, (enum method)method);
        count_modifier(s, (enum method)method);
        count_difference(s, (enum method)method);
        if (method == PROGRAM) {
            count_plain_curve(s);
            count_plain_modifier(s);
            count_plain_difference(s);
        }
        efficiency_free(&s->a.e);
        efficiency_free(&s->b.e);
    }
    s->seen++;
}

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return x < y ? -1 : x > y;
}

double study_width_ratio(const struct study *s, size_t what)
{
    qsort(s->off[what], s->seen, sizeof *s->off[what], by_size);
    uint64_t rank = (uint64_t)ceil(0.95 * (double)s->seen);
    return 1 / s->off[what][rank - 1];
}
