#include "study/difference.h"

#include "base/text.h"
#include "fit/bands.h"
#include "fit/combine.h"
#include "fit/distributions.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static bool counts(const struct error_source *row)
{
    return row->kind != ERROR_READING && row->u > 0;
}

/* The row of b that is shared with one of a; NULL if none is. */
static const struct error_source *partner(const struct difference *difference,
                                          const struct error_source *row, enum shared_by *by)
{
    const struct error_registry *of_b = &difference->b->reduction->setup.errors;
    for (size_t k = 0; k < of_b->n; k++) {
        *by = counts(&of_b->rows[k])
                  ? shared_judge(difference->a, row, difference->b, &of_b->rows[k])
                  : SHARED_NOT;
        if (*by != SHARED_NOT)
            return &of_b->rows[k];
    }
    return NULL;
}

static bool is_taken(const struct difference *difference, const struct error_source *row)
{
    for (size_t i = 0; i < difference->n_rows; i++)
        if (difference->rows[i].b == row)
            return true;
    return false;
}

static void pair_rows(struct difference *difference)
{
    const struct error_registry *of_a = &difference->a->reduction->setup.errors;
    const struct error_registry *of_b = &difference->b->reduction->setup.errors;
    for (size_t i = 0; i < of_a->n; i++) {
        struct shared_row *row = &difference->rows[difference->n_rows];
        if (!counts(&of_a->rows[i]))
            continue;
        row->a = &of_a->rows[i];
        row->b = partner(difference, row->a, &row->by);
        difference->n_rows++;
    }
    for (size_t k = 0; k < of_b->n; k++)
        if (counts(&of_b->rows[k]) && !is_taken(difference, &of_b->rows[k]))
            difference->rows[difference->n_rows++] = (struct shared_row){NULL, &of_b->rows[k],
                                                                         SHARED_NOT};
}

bool difference_init(struct difference *difference, const struct tested *a, const struct tested *b,
                     struct faults *faults)
{
    memset(difference, 0, sizeof *difference);
    difference->a = a;
    difference->b = b;
    difference->x_low = fmax(a->e.design.least_x, b->e.design.least_x);
    difference->x_high = fmin(a->e.design.most_x, b->e.design.most_x);
    size_t n = a->reduction->setup.errors.n + b->reduction->setup.errors.n;
    difference->rows = calloc(n + 1, sizeof *difference->rows);
    if (difference->rows == NULL)
        return fault_memory(faults);
    pair_rows(difference);
    if (!pairs_find(&difference->pairs, a, b, difference->x_low, difference->x_high, faults))
        return false;
    difference->is_paired = difference->pairs.path == PAIRS_TAKEN;
    return !difference->is_paired || paired_fit(&difference->paired, a, b, &difference->pairs,
                                                difference->rows, difference->n_rows, faults);
}

void difference_free(struct difference *difference)
{
    free(difference->rows);
    pairs_free(&difference->pairs);
    paired_free(&difference->paired);
    difference->rows = NULL;
    difference->n_rows = 0;
}

/* Shift of one collector's efficiency, at its terms, by a calibration row. */
static double shift(const struct efficiency *e, const double *terms, const struct error_source *row)
{
    for (size_t k = 0; row != NULL && k < e->n_shares; k++)
        if (e->shares[k].row == row)
            return fit_dot(terms, e->shares[k].d, e->form->n_coef);
    return 0;
}

static double shift_on(const struct efficiency *e, const double *terms,
                       const struct error_source *row, int64_t session)
{
    for (size_t k = 0; row != NULL && k < e->n_daily; k++)
        if (e->daily[k].row == row && e->daily[k].session == session)
            return fit_dot(terms, e->daily[k].d, e->form->n_coef);
    return 0;
}

/* A session row, day by day: those of a, then those that only b has. */
static double daily_variance(const struct efficiency *a, const double *terms_a,
                             const struct efficiency *b, const double *terms_b,
                             const struct shared_row *row, double *apart)
{
    double sum = 0;
    for (size_t k = 0; k < a->n_daily; k++) {
        if (a->daily[k].row != row->a)
            continue;
        double of_a = fit_dot(terms_a, a->daily[k].d, a->form->n_coef);
        double of_b = shift_on(b, terms_b, row->b, a->daily[k].session);
        sum += (of_a - of_b) * (of_a - of_b);
        *apart += of_a * of_a + of_b * of_b;
    }
    for (size_t k = 0; k < b->n_daily; k++) {
        bool met = false;
        for (size_t i = 0; i < a->n_daily && !met; i++)
            met = row->a != NULL && a->daily[i].row == row->a &&
                  a->daily[i].session == b->daily[k].session;
        if (b->daily[k].row != row->b || met)
            continue;
        double of_b = fit_dot(terms_b, b->daily[k].d, b->form->n_coef);
        sum += of_b * of_b;
        *apart += of_b * of_b;
    }
    return sum;
}

/* What is each collector's own: readings, differing days, what the form left out. */
static void add_own(const struct efficiency *e, const double *terms, struct fit_part *reading,
                    double *days, double *left_out)
{
    size_t p = e->form->n_coef;
    *reading = (struct fit_part){fit_variance(terms, e->reading, p), e->scale_dof};
    *left_out += fit_variance(terms, e->curvature, p);
    for (size_t k = 0; k < e->n_extras; k++) {
        double by = fit_dot(terms, e->extras[k].d, p);
        *(e->extras[k].session ? days : left_out) += by * by;
    }
}

static void fill_terms(const struct efficiency *e, double x, double g_W_m2, double *terms)
{
    struct fit_condition at = {.x = x, .g = g_W_m2, .wind = e->draw_wind};
    e->form->terms(&at, terms);
}

static bool is_open(const struct tested *tested, double x, double g_W_m2)
{
    struct fit_condition at = {.x = x, .g = g_W_m2};
    return tested->is_stated && stated_curve_open(&tested->stated, &at);
}

enum difference_verdict difference_verdict(const struct difference_at *at)
{
    if (!(fabs(at->value) > at->half_95))
        return DIFFERENCE_UNTOLD;
    return at->open ? DIFFERENCE_OPEN : DIFFERENCE_REAL;
}

/* What four of five such tests would tell: told where the estimate passes half_95, and four of five
 * estimates pass the truth less 0.84 u. */
static void conclude(struct difference_at *at)
{
    at->half_95 = fit_coverage_95(at->dof) * at->u;
    at->least = at->half_95 + fit_t_quantile(0.8, at->dof) * at->u;
}

void difference_look_curves(const struct difference *difference, double x, double g_W_m2,
                            struct difference_at *at)
{
    const struct efficiency *a = &difference->a->e, *b = &difference->b->e;
    double terms_a[EFFICIENCY_COEFS], terms_b[EFFICIENCY_COEFS];
    double shared = 0, apart = 0, days = 0, left_out = 0;
    struct fit_part parts[3];
    fill_terms(a, x, g_W_m2, terms_a);
    fill_terms(b, x, g_W_m2, terms_b);
    for (size_t i = 0; i < difference->n_rows; i++) {
        const struct shared_row *row = &difference->rows[i];
        const struct error_source *any = row->a != NULL ? row->a : row->b;
        if (any->kind == ERROR_SESSION) {
            shared += daily_variance(a, terms_a, b, terms_b, row, &apart);
            continue;
        }
        double of_a = shift(a, terms_a, row->a), of_b = shift(b, terms_b, row->b);
        shared += (of_a - of_b) * (of_a - of_b);
        apart += of_a * of_a + of_b * of_b;
    }
    add_own(a, terms_a, &parts[0], &days, &left_out);
    add_own(b, terms_b, &parts[1], &days, &left_out);
    parts[2] = (struct fit_part){shared + days + left_out, INFINITY};
    double own = parts[0].variance + parts[1].variance + days + left_out;
    at->a = fit_dot(terms_a, a->curve.coef, a->form->n_coef);
    at->b = fit_dot(terms_b, b->curve.coef, b->form->n_coef);
    at->value = at->a - at->b;
    at->u = sqrt(own + shared);
    at->u_apart = sqrt(own + apart);
    at->dof = fit_freedom(parts, 3);
    conclude(at);
    at->open = is_open(difference->a, x, g_W_m2) || is_open(difference->b, x, g_W_m2);
}

/* Curvature that a straight line through the pairs leaves out is that of both curves. */
static double curvature(const struct tested *tested, double x, double g_W_m2)
{
    double terms[EFFICIENCY_COEFS];
    fill_terms(&tested->e, x, g_W_m2, terms);
    return fit_variance(terms, tested->e.curvature, tested->e.form->n_coef);
}

void difference_look(const struct difference *difference, double x, double g_W_m2,
                     struct difference_at *at)
{
    const struct tested *a = difference->a, *b = difference->b;
    struct fit_part parts[2];
    difference_look_curves(difference, x, g_W_m2, at);
    if (!difference->is_paired)
        return;
    struct fit_condition where = {
        .x = x, .g = g_W_m2, .wind = 0.5 * (a->e.draw_wind + b->e.draw_wind)};
    parts[1] = (struct fit_part){0, INFINITY};
    paired_look(&difference->paired, &where, &at->value, &parts[0], &parts[1].variance);
    if (difference->pairs.unbent)
        parts[1].variance += curvature(a, x, g_W_m2) + curvature(b, x, g_W_m2);
    at->u = sqrt(parts[0].variance + parts[1].variance);
    at->dof = fit_freedom(parts, 2);
    conclude(at);
}
