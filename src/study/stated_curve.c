#include "study/stated_curve.h"

#include "fit/combine.h"
#include "fit/linear.h"

#include <math.h>
#include <string.h>

enum { NODES = 41, ETA0 = 0, A1, A2, DIFFUSE };

/* A value and its error as stated; u NAN: not stated. */
struct stated_value {
    const char *what;
    double value, u;
};

/* What the conversion of a set of values needs. */
struct bringing {
    const struct curve_section *from;
    const struct stated_wish *wish;
    const struct fit_form *form;
    double area_factor, k_m2K_W;
};

bool stated_curve_has_area(const struct curve_section *from, enum area_reference area)
{
    return from->reference == area ||
           (from->area[area].at.given && from->area[from->reference].at.given);
}

static double error_of(const struct stated_error *error, double value, bool absolute)
{
    if (!error->at.given)
        return NAN;
    return error->relative && !absolute ? error->u * value : error->u;
}

/* Out: values  STATED_VALUES of them; those that the curve does not have are 0 and exact. */
static void take_values(const struct curve_section *from, struct stated_value *values)
{
    bool bent = from->a2.at.given, beam = from->sunshine == SUNSHINE_BEAM;
    values[ETA0] = (struct stated_value){"eta0", from->eta0.value,
                                         error_of(&from->eta0_error, from->eta0.value, true)};
    values[A1] = (struct stated_value){"a1", from->a1.value,
                                       error_of(&from->a1_error, from->a1.value, false)};
    values[A2] = (struct stated_value){"a2", bent ? from->a2.value : 0, 0};
    values[DIFFUSE] = (struct stated_value){"diffuse modifier", 0, 0};
    if (bent)
        values[A2].u = error_of(&from->a2_error, from->a2.value, false);
    if (beam) {
        values[DIFFUSE].value = from->diffuse_modifier.value;
        values[DIFFUSE].u = error_of(&from->diffuse_modifier_error, 0, true);
    }
}

static double sun_factor(const struct curve_section *from, double diffuse_modifier)
{
    return from->sunshine == SUNSHINE_BEAM ? 1 - from->share + diffuse_modifier * from->share : 1;
}

/* The root of eta = c0 - c1 (x + k eta) - c2 g (x + k eta)^2 that goes to c0 - c1 x for small k. */
static double root(const double *c, double c2, double g, double k, double x)
{
    double square = c2 * g * k * k, linear = 1 + c[1] * k + 2 * c2 * g * x * k;
    double constant = c[0] - c[1] * x - c2 * g * x * x;
    return 2 * constant / (linear + sqrt(linear * linear + 4 * square * constant));
}

/* The refit over the range. Returns: the largest misfit; NaN where the nodes hold no such form. */
static double refit(const struct bringing *b, const double *c, double *coef)
{
    double terms[NODES * EFFICIENCY_COEFS], eta[NODES];
    size_t p = b->form->n_coef;
    struct fit_linear fit;
    for (size_t i = 0; i < NODES; i++) {
        struct fit_condition at = {.x = b->wish->x_low + (b->wish->x_high - b->wish->x_low) *
                                                             (double)i / (NODES - 1),
                                   .g = b->wish->g_W_m2};
        b->form->terms(&at, &terms[i * p]);
        eta[i] = root(c, c[2], at.g, b->k_m2K_W, at.x);
    }
    if (fit_linear(terms, eta, NULL, NODES, p, &fit) != FIT_OK)
        return NAN;
    memcpy(coef, fit.coef, p * sizeof *coef);
    double worst = 0;
    for (size_t i = 0; i < NODES; i++)
        worst = fmax(worst, fabs(eta[i] - fit_dot(&terms[i * p], coef, p)));
    return worst;
}

/* Coefficients on the wanted basis from the stated values. Returns: the misfit of the refit. */
static double bring(const struct bringing *b, const double *values, double *coef)
{
    double c[3] = {values[ETA0] * sun_factor(b->from, values[DIFFUSE]) * b->area_factor,
                   values[A1] * b->area_factor, values[A2] * b->area_factor};
    double k = b->k_m2K_W;
    if (k != 0 && b->form->n_coef > 2)
        return refit(b, c, coef);
    coef[0] = c[0] / (1 + c[1] * k);
    coef[1] = c[1] / (1 + c[1] * k);
    if (b->form->n_coef > 2)
        coef[2] = c[2];
    return 0;
}

/* Change of the coefficients for a change of one value by `by`, from either side. */
static void move(const struct bringing *b, const double *values, size_t which, double by, double *d)
{
    double up[EFFICIENCY_COEFS] = {0}, down[EFFICIENCY_COEFS] = {0}, moved[STATED_VALUES];
    memcpy(moved, values, sizeof moved);
    moved[which] = values[which] + by;
    bring(b, moved, up);
    moved[which] = values[which] - by;
    bring(b, moved, down);
    for (size_t j = 0; j < b->form->n_coef; j++)
        d[j] = 0.5 * (up[j] - down[j]);
}

static void carry_errors(struct stated_curve *curve, const struct bringing *b,
                         const struct stated_value *stated, const double *values)
{
    enum { PARTS = 1000 }; /* the full move would leave the straight part */
    for (size_t k = 0; k < STATED_VALUES; k++) {
        double d[EFFICIENCY_COEFS] = {0};
        if (stated[k].u > 0) {
            move(b, values, k, stated[k].u, d);
            fit_cov_add_outer(curve->covariance, b->form->n_coef, d);
        } else if (isnan(stated[k].u)) {
            struct stated_unknown *unknown = &curve->unknown[curve->n_unknown++];
            *unknown = (struct stated_unknown){.what = stated[k].what};
            move(b, values, k, stated[k].value / PARTS, unknown->d);
            for (size_t j = 0; j < b->form->n_coef; j++)
                unknown->d[j] *= PARTS;
        }
    }
}

/* k = A/(2 m c_p), with the sign of the way. */
static bool find_k(const struct curve_section *from, const struct stated_wish *wish, double *k,
                   struct faults *faults)
{
    *k = 0;
    if ((from->temperature == CURVE_INLET) == wish->inlet)
        return true;
    const struct stated_number *area = &from->area[wish->area];
    if (from->mass_kg_s.at.given && area->at.given) {
        *k = area->value / (2 * from->mass_kg_s.value * from->heat_J_kgK);
        if (!wish->inlet)
            *k = -*k;
        return true;
    }
    struct fault *fault = fault_new(faults, FAULT_INPUT, from->head);
    fault_found(fault, "[curve %s] is of the %s temperature, the comparison of the %s one",
                from->name, wish->inlet ? "mean" : "inlet", wish->inlet ? "inlet" : "mean");
    fault_expected(fault, "'mass flow' and '%s area', by which it can be brought there",
                   area_word(wish->area));
    fault_hint(fault, "or put 'temperature = %s' into the [run] of the first test",
               wish->inlet ? "mean" : "inlet");
    return false;
}

bool stated_curve_bring(struct stated_curve *curve, const struct curve_section *from,
                        const struct stated_wish *wish, struct faults *faults)
{
    struct stated_value stated[STATED_VALUES];
    double values[STATED_VALUES];
    memset(curve, 0, sizeof *curve);
    curve->from = from;
    curve->form = fit_form_find(from->a2.at.given ? "second order" : "line");
    curve->area_factor = from->reference == wish->area ? 1
                                                       : from->area[from->reference].value /
                                                             from->area[wish->area].value;
    if (!find_k(from, wish, &curve->k_m2K_W, faults))
        return false;
    struct bringing b = {from, wish, curve->form, curve->area_factor, curve->k_m2K_W};
    take_values(from, stated);
    for (size_t k = 0; k < STATED_VALUES; k++)
        values[k] = stated[k].value;
    curve->sun_factor = sun_factor(from, values[DIFFUSE]);
    curve->misfit = bring(&b, values, curve->coef);
    carry_errors(curve, &b, stated, values);
    return true;
}

bool stated_curve_open(const struct stated_curve *curve, const struct fit_condition *at)
{
    double terms[EFFICIENCY_COEFS];
    curve->form->terms(at, terms);
    for (size_t k = 0; k < curve->n_unknown; k++)
        if (fabs(fit_dot(terms, curve->unknown[k].d, curve->form->n_coef)) > 1e-9)
            return true;
    return false;
}

bool stated_curve_lacks(const struct stated_curve *curve, size_t coef)
{
    for (size_t k = 0; k < curve->n_unknown; k++)
        if (fabs(curve->unknown[k].d[coef]) > 1e-9)
            return true;
    return false;
}

void stated_curve_as_efficiency(const struct stated_curve *curve, const struct stated_wish *wish,
                                struct efficiency *out)
{
    memset(out, 0, sizeof *out);
    out->form = out->curve.form = curve->form;
    out->curve.p = curve->form->n_coef;
    memcpy(out->curve.coef, curve->coef, sizeof out->curve.coef);
    memcpy(out->reading, curve->covariance, sizeof out->reading);
    memcpy(out->total, curve->covariance, sizeof out->total);
    out->scale_dof = out->session_dof = INFINITY;
    out->design.least_x = wish->x_low;
    out->design.most_x = wish->x_high;
}
