#include "fit/modifier.h"

#include <math.h>

#define STEP_RAD (M_PI / 18)
enum { PANELS = 9, NODES = 8 };

/* Gauss-Legendre on (-1, 1), from memory of any handbook; the tests integrate polynomials exactly.
 */
static const double node[NODES] = {-0.9602898564975363, -0.7966664774136267, -0.5255324099163290,
                                   -0.1834346424956498, 0.1834346424956498,  0.5255324099163290,
                                   0.7966664774136267,  0.9602898564975363};
static const double weight[NODES] = {0.1012285362903763, 0.2223810344533745, 0.3137066458778873,
                                     0.3626837833783620, 0.3626837833783620, 0.3137066458778873,
                                     0.2223810344533745, 0.1012285362903763};

const char *fit_modifier_name(enum fit_modifier_form form)
{
    static const char *const names[FIT_MODIFIER_FORMS] = {
        [FIT_MODIFIER_B0] = "b0",
        [FIT_MODIFIER_TANGENT] = "tangent",
        [FIT_MODIFIER_TABLE] = "table",
        [FIT_MODIFIER_TWO_PLANES] = "two planes",
    };
    return names[form];
}

/* Straight between 1 at 0, the knots, and 0 at 90 degrees. */
static double value_between(const double *knot, const double *k, size_t n, double angle_rad)
{
    double from = 0, value = 1;
    angle_rad = fabs(angle_rad);
    for (size_t i = 0; i <= n; i++) {
        double to = i < n ? knot[i] : M_PI_2;
        double next = i < n ? k[i] : 0;
        if (!(angle_rad > to))
            return value + (next - value) * (angle_rad - from) / (to - from);
        from = to;
        value = next;
    }
    return 0;
}

static double two_planes(const struct fit_modifier *m, double along_rad, double across_rad)
{
    return value_between(m->knot_rad, m->coef, m->n_along, along_rad) *
           value_between(m->knot_rad + m->n_along, m->coef + m->n_along, m->n - m->n_along,
                       across_rad);
}

double fit_modifier_beam(const struct fit_modifier *m, const struct fit_angle *at)
{
    if (at->theta_rad >= M_PI_2)
        return 0;
    switch (m->form) {
    case FIT_MODIFIER_B0: {
        double k = 1 - m->coef[0] * (1 / cos(at->theta_rad) - 1);
        return k < 0 ? 0 : k;
    }
    case FIT_MODIFIER_TANGENT:
        return 1 - pow(tan(0.5 * at->theta_rad), m->coef[0]);
    case FIT_MODIFIER_TABLE:
        return value_between(m->knot_rad, m->coef, m->n, at->theta_rad);
    case FIT_MODIFIER_TWO_PLANES:
        return two_planes(m, at->along_rad, at->across_rad);
    case FIT_MODIFIER_FORMS:
        break;
    }
    return NAN;
}

/* The i-th node of all panels, and its weight. */
static double place(size_t i, double *share)
{
    *share = 0.5 * STEP_RAD * weight[i % NODES];
    return STEP_RAD * ((double)(i / NODES) + 0.5 * (1 + node[i % NODES]));
}

static double over_theta(const struct fit_modifier *m)
{
    double sum = 0;
    for (size_t i = 0; i < PANELS * NODES; i++) {
        double share;
        struct fit_angle at = {.theta_rad = place(i, &share)};
        sum += share * fit_modifier_beam(m, &at) * sin(2 * at.theta_rad);
    }
    return sum;
}

/* Four nodes on every 10 degrees are enough where both tables end in 0: 2e-7 of 64 nodes' value
 * (numpy). There are as many integrals in a fit as coefficients, twice in every step. */
enum { FEW = 4 };
static const double few_node[FEW] = {-0.8611363115940526, -0.3399810435848563, 0.3399810435848563,
                                     0.8611363115940526};
static const double few_weight[FEW] = {0.3478548451374538, 0.6521451548625461, 0.6521451548625461,
                                       0.3478548451374538};

static double few_place(size_t i, double *share)
{
    *share = 0.5 * STEP_RAD * few_weight[i % FEW];
    return STEP_RAD * ((double)(i / FEW) + 0.5 * (1 + few_node[i % FEW]));
}

/* A direction is (tan u, tan v, 1) to within its length, u and v its projections: then cos theta
 * times the solid angle is cos^2 u cos^2 v / (cos^2 v + sin^2 v cos^2 u)^2 du dv, and the tables'
 * bends lie on the panels' edges. Four quarters are alike. */
static double over_planes(const struct fit_modifier *m)
{
    double sum = 0, square[PANELS * FEW], along[PANELS * FEW], across[PANELS * FEW];
    for (size_t i = 0; i < PANELS * FEW; i++) {
        double share, u = few_place(i, &share);
        square[i] = cos(u) * cos(u);
        along[i] = share * square[i] * value_between(m->knot_rad, m->coef, m->n_along, u);
        across[i] =
            share * square[i] *
            value_between(m->knot_rad + m->n_along, m->coef + m->n_along, m->n - m->n_along, u);
    }
    for (size_t i = 0; i < PANELS * FEW; i++)
        for (size_t j = 0; j <= i; j++) { /* the weight is the same with both exchanged */
            double down = square[j] + (1 - square[j]) * square[i];
            double both = along[i] * across[j] + (j < i ? along[j] * across[i] : 0);
            sum += both / (down * down);
        }
    return 4 / M_PI * sum;
}

/* Share of figure i (0: the 1 at the normal) in a table's value. */
static double figure_share(const double *knot, size_t n, size_t i, double angle_rad)
{
    double none[FIT_MAX_COEF] = {0}, one[FIT_MAX_COEF] = {0};
    if (i == 0)
        return value_between(knot, none, n, angle_rad);
    one[i - 1] = 1;
    return value_between(knot, one, n, angle_rad) - value_between(knot, none, n, angle_rad);
}

void fit_modifier_weigh_sky(struct fit_modifier *m)
{
    enum { N = PANELS * FEW, FIGURES = FIT_MAX_COEF + 1 };
    double square[N], along[FIGURES][N], across[FIGURES][N];
    size_t n_along = m->n_along + 1, n_across = m->n - m->n_along + 1;
    if (m->form != FIT_MODIFIER_TWO_PLANES || n_along * n_across > FIT_MODIFIER_SKY)
        return;
    for (size_t k = 0; k < N; k++) {
        double share, u = few_place(k, &share);
        square[k] = cos(u) * cos(u);
        for (size_t i = 0; i < n_along; i++)
            along[i][k] = share * square[k] * figure_share(m->knot_rad, m->n_along, i, u);
        for (size_t j = 0; j < n_across; j++)
            across[j][k] =
                share * square[k] * figure_share(m->knot_rad + m->n_along, n_across - 1, j, u);
    }
    for (size_t i = 0; i < n_along * n_across; i++)
        m->sky[i] = 0;
    for (size_t k = 0; k < N; k++)
        for (size_t l = 0; l < N; l++) {
            double down = square[l] + (1 - square[l]) * square[k];
            double pull = 4 / M_PI / (down * down);
            for (size_t i = 0; i < n_along; i++)
                for (size_t j = 0; along[i][k] > 0 && j < n_across; j++)
                    m->sky[i * n_across + j] += along[i][k] * across[j][l] * pull;
        }
    m->sky_weighed = true;
}

static double over_figures(const struct fit_modifier *m)
{
    size_t n_across = m->n - m->n_along + 1;
    double sum = 0;
    for (size_t i = 0; i <= m->n_along; i++) {
        double row = m->sky[i * n_across];
        for (size_t j = 1; j < n_across; j++)
            row += m->sky[i * n_across + j] * m->coef[m->n_along + j - 1];
        sum += row * (i == 0 ? 1 : m->coef[i - 1]);
    }
    return sum;
}

double fit_modifier_diffuse(const struct fit_modifier *m)
{
    switch (m->form) {
    case FIT_MODIFIER_B0:
        return m->coef[0] < 0 ? 1 - m->coef[0] : 1 / (1 + m->coef[0]);
    case FIT_MODIFIER_TWO_PLANES:
        return m->sky_weighed ? over_figures(m) : over_planes(m);
    default:
        return over_theta(m);
    }
}

double fit_modifier_total(double k_b, double k_d, double f, double k_b0, double f0)
{
    return (k_b * (1 - f) + k_d * f) / (k_b0 * (1 - f0) + k_d * f0);
}

double fit_modifier_beam_of_total(double k_total, double k_d, double f, double k_b0, double f0)
{
    return f < 1 ? (k_total * (k_b0 * (1 - f0) + k_d * f0) - k_d * f) / (1 - f) : NAN;
}

void fit_modifier_slopes(const struct fit_modifier *m, const struct fit_angle *at, double *d)
{
    for (size_t j = 0; j < m->n; j++) {
        struct fit_modifier up = *m, down = *m;
        double h = 1e-5 * fmax(fabs(m->coef[j]), 0.1);
        up.coef[j] += h;
        down.coef[j] -= h;
        d[j] = (fit_modifier_beam(&up, at) - fit_modifier_beam(&down, at)) / (2 * h);
    }
}
