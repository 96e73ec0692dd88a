#include "study/explain.h"

#include "fit/combine.h"
#include "fit/distributions.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { MOST = FIT_FORM_MAX_COEF, SEARCH_STEPS = 80, SCAN_STEPS = 24 };

/* Half of the searched width on each side, in the unit of the property's move; beyond lies nothing
 * that is worth naming. */
static const struct {
    enum property property;
    double below, above;
    bool down_to_zero; /* `below` is the value itself */
} searched[CAUSES] = {
    {PROP_BOND, 6.0, 4.0, false},          {PROP_EMITTANCE, 0.0, 1.3, true},
    {PROP_TRANSMITTANCE, 0.5, 0.5, false}, {PROP_ABSORPTANCE, 0.5, 0.5, false},
    {PROP_BACK, 3.0, 3.5, false},
};

struct search {
    const struct prediction *prediction;
    const struct predict_wish *wish;
    const struct measured *measured;
    enum property property;
    size_t n;
    double factor[MOST * MOST]; /* lower Cholesky factor of the covariance */
    struct faults *faults;
    bool failed;
};

/* Out: lower factor. Returns: false if the matrix is not positive definite. */
static bool factorise(const double *covariance, size_t n, double *lower)
{
    memset(lower, 0, n * n * sizeof *lower);
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j <= i; j++) {
            double sum = covariance[i * n + j];
            for (size_t k = 0; k < j; k++)
                sum -= lower[i * n + k] * lower[j * n + k];
            if (i == j && !(sum > 0.0))
                return false;
            lower[i * n + j] = i == j ? sqrt(sum) : sum / lower[j * n + j];
        }
    return true;
}

/* The difference in units of its uncertainty: L z = r. */
static void whiten(const double *lower, size_t n, const double *r, double *z)
{
    for (size_t i = 0; i < n; i++) {
        double sum = r[i];
        for (size_t k = 0; k < i; k++)
            sum -= lower[i * n + k] * z[k];
        z[i] = sum / lower[i * n + i];
    }
}

/* The coefficients with the property moved. */
static bool coefficients(struct search *s, double amount, double *coef)
{
    struct build moved = s->prediction->build;
    build_move(&moved, s->property, amount);
    if (predict_curve(&moved.plate, &moved.weather, &moved.flow, moved.reference_m2, s->wish->form,
                      &s->wish->range, coef, s->faults))
        return true;
    s->failed = true;
    return false;
}

static void whitened(struct search *s, double amount, double *z)
{
    double coef[MOST], r[MOST];
    memset(z, 0, MOST * sizeof *z);
    if (!coefficients(s, amount, coef))
        return;
    for (size_t j = 0; j < s->n; j++)
        r[j] = s->measured->coef[j] - coef[j];
    whiten(s->factor, s->n, r, z);
}

static double left_over(struct search *s, double amount)
{
    double z[MOST];
    whitened(s, amount, z);
    return fit_dot(z, z, s->n);
}

/* The lowest point between two ends: a scan, then golden sections around its best. */
static double lowest(struct search *s, double low, double high)
{
    static const double golden = 0.6180339887498949;
    size_t best = 0;
    double least = INFINITY, step = (high - low) / SCAN_STEPS;
    for (size_t i = 0; i <= SCAN_STEPS && !s->failed; i++) {
        double here = left_over(s, low + (double)i * step);
        if (here < least) {
            least = here;
            best = i;
        }
    }
    double a = fmax(low + ((double)best - 1.0) * step, low);
    double b = fmin(low + ((double)best + 1.0) * step, high);
    double p = b - golden * (b - a), q = a + golden * (b - a);
    double at_p = left_over(s, p), at_q = left_over(s, q);
    for (int i = 0; i < SEARCH_STEPS && b - a > 1e-7 && !s->failed; i++)
        if (at_p < at_q) {
            b = q;
            q = p;
            at_q = at_p;
            p = b - golden * (b - a);
            at_p = left_over(s, p);
        } else {
            a = p;
            p = q;
            at_p = at_q;
            q = a + golden * (b - a);
            at_q = left_over(s, q);
        }
    return 0.5 * (a + b);
}

/* Standard uncertainty of the amount found, from the slope of the whitened differences. */
static double u_of_amount(struct search *s, double amount, double step)
{
    double up[MOST], down[MOST], sum = 0.0;
    whitened(s, amount + step, up);
    whitened(s, amount - step, down);
    for (size_t j = 0; j < s->n; j++)
        sum += pow((up[j] - down[j]) / (2.0 * step), 2.0);
    return 1.0 / sqrt(sum);
}

static double moved_value(const struct search *s, double amount)
{
    double value = build_value(&s->prediction->build, s->property);
    return property_row(s->property)->is_log ? value * exp(amount) : value + amount;
}

static const char *kind_of(enum property property, double value)
{
    switch (property) {
    case PROP_BOND:
        return material_bond_of_conductance(value);
    case PROP_EMITTANCE:
        return material_surface_of_emittance(value);
    case PROP_ABSORPTANCE:
        return material_surface_of_absorptance(value);
    case PROP_TRANSMITTANCE:
        return material_glazing_of_transmittance(value);
    case PROP_BACK:
        return material_insulation_of_conductivity(value);
    default:
        return NULL;
    }
}

/* The kind whose range holds the value, else one that reaches into the interval, nearest first. */
static const char *kind_near(const struct cause *cause)
{
    enum { LOOKS = 20 };
    const char *kind = kind_of(cause->property, cause->value);
    if (!isfinite(cause->low) || !isfinite(cause->high))
        return kind;
    for (int i = 1; i <= LOOKS && kind == NULL; i++) {
        double share = (double)i / LOOKS;
        kind = kind_of(cause->property, cause->value + share * (cause->low - cause->value));
        if (kind == NULL)
            kind = kind_of(cause->property, cause->value + share * (cause->high - cause->value));
    }
    return kind;
}

/* Whether such a value can exist, at the near end of its interval. */
static bool can_exist(const struct cause *cause)
{
    double nearest = isfinite(cause->low) ? cause->low : cause->value;
    bool share = cause->property == PROP_EMITTANCE || cause->property == PROP_ABSORPTANCE;
    if (share)
        return nearest <= 1.0;
    if (cause->property == PROP_TRANSMITTANCE)
        return nearest <= 0.97; /* the best antireflective panes */
    if (cause->property == PROP_BACK)
        return !isfinite(cause->high) || cause->high >= 0.015; /* still air conducts 0.024 */
    return true;
}

static void judge(const struct search *s, const struct explanation *e, struct cause *cause,
                  double amount, double u)
{
    const struct prediction *p = s->prediction;
    double stated_u = p->build.u[cause->property];
    cause->kind = kind_near(cause);
    if (cause->left > e->left_bound)
        cause->verdict = CAUSE_NOT_ENOUGH;
    else if (!can_exist(cause))
        cause->verdict = CAUSE_IMPOSSIBLE;
    else if (fabs(amount) <= 1.96 * hypot(stated_u, u) && fabs(amount) <= 2.0 * stated_u)
        cause->verdict = CAUSE_STATED;
    else
        cause->verdict = CAUSE_POSSIBLE;
}

/* The row of the registry that belongs to a property; rows.n if it is exact. */
static size_t row_of(const struct prediction *p, enum property property)
{
    for (size_t i = 0; i < p->rows.n; i++)
        if (p->rows.rows[i].property == (size_t)property)
            return i;
    return p->rows.n;
}

static bool weigh(struct search *s, size_t without)
{
    double covariance[MOST * MOST];
    prediction_covariance(s->prediction, s->n, without, covariance);
    fit_cov_add(covariance, s->n, s->measured->covariance, 1.0);
    if (factorise(covariance, s->n, s->factor))
        return true;
    struct fault *fault = fault_new(s->faults, FAULT_DATA, fault_at(NULL, 0, 0));
    fault_found(fault, "measured and predicted curve cannot be weighed against each other: neither "
                       "has an uncertainty");
    return false;
}

static bool find_cause(struct search *s, size_t i, const struct explanation *e, struct cause *cause)
{
    const struct build *b = &s->prediction->build;
    s->property = searched[i].property;
    double value = build_value(b, s->property);
    double low = searched[i].down_to_zero ? -value : -searched[i].below, high = searched[i].above;
    if (!weigh(s, row_of(s->prediction, s->property)))
        return false;
    double amount = lowest(s, low, high);
    *cause = (struct cause){.property = s->property, .stated = value};
    cause->value = moved_value(s, amount);
    cause->left = left_over(s, amount);
    double edge = 1e-3 * (high - low);
    bool inside = amount > low + edge && amount < high - edge;
    double u = inside ? u_of_amount(s, amount, edge) : NAN;
    cause->low = moved_value(s, amount - 1.96 * u);
    if (cause->low < 0.0)
        cause->low = 0.0;
    cause->high = moved_value(s, amount + 1.96 * u);
    judge(s, e, cause, amount, inside ? u : 0.0);
    return !s->failed;
}

/* Possible ones first, each group by what remains. */
static int by_rank(const void *a, const void *b)
{
    const struct cause *p = a, *q = b;
    static const int group[] = {0, 0, 1, 2};
    if (group[p->verdict] != group[q->verdict])
        return group[p->verdict] - group[q->verdict];
    return p->left < q->left ? -1 : p->left > q->left;
}

/* Whether the build has such a thing at all. */
static bool applies(const struct build *b, enum property property)
{
    if (property == PROP_BOND)
        return isfinite(b->plate.fin.bond_W_mK);
    if (property == PROP_TRANSMITTANCE)
        return b->plate.n_covers > 0;
    return property != PROP_BACK || b->plate.back.thickness_m > 0.0;
}

bool explain(const struct prediction *prediction, const struct predict_wish *wish,
             const struct measured *measured, struct explanation *out, struct faults *faults)
{
    struct search s = {.prediction = prediction,
                       .wish = wish,
                       .measured = measured,
                       .property = PROP_SKY,
                       .n = wish->form->n_coef,
                       .faults = faults};
    memset(out, 0, sizeof *out);
    if (!weigh(&s, prediction->rows.n))
        return false;
    out->apart = left_over(&s, 0.0);
    out->bound = fit_chi2_quantile(0.95, (double)s.n);
    out->left_bound = s.n > 1 ? fit_chi2_quantile(0.95, (double)(s.n - 1)) : 1e-3;
    out->differ = out->apart > out->bound;
    for (size_t i = 0; i < CAUSES && !s.failed; i++)
        if (applies(&prediction->build, searched[i].property) &&
            !find_cause(&s, i, out, &out->causes[out->n++]))
            return false;
    qsort(out->causes, out->n, sizeof out->causes[0], by_rank);
    return !s.failed;
}
