#include "domain/fluid.h"

#include "base/text.h"
#include "base/wide.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { HEAT_PIECE = 16 };

static void name_fluid(struct fluid *fluid, const char *name, const char *source)
{
    memset(fluid, 0, sizeof *fluid);
    strncpy(fluid->name, name, sizeof fluid->name - 1);
    strncpy(fluid->source, source, sizeof fluid->source - 1);
}

/* Change of y over one step at point i: central difference (Catmull and Rom 1974), at the ends the
 * parabola through three points. Grids have at least 3 points. */
static double slope(const double *y, size_t n, size_t i)
{
    if (i == 0)
        return 0.5 * (4.0 * y[1] - 3.0 * y[0] - y[2]);
    if (i == n - 1)
        return 0.5 * (3.0 * y[i] - 4.0 * y[i - 1] + y[i - 2]);
    return 0.5 * (y[i + 1] - y[i - 1]);
}

/* A cell's cubic: y(s) = a + b s + c s^2 + d s^3, s from 0 to 1. */
static struct fluid_cubic cell_cubic(const double *y, size_t n, size_t i)
{
    double left = slope(y, n, i);
    double right = slope(y, n, i + 1);
    double rise = y[i + 1] - y[i];
    struct fluid_cubic cubic = {y[i], left, 3.0 * rise - 2.0 * left - right,
                                left + right - 2.0 * rise};
    return cubic;
}

static inline double cubic_at(const struct fluid_cubic *p, double s)
{
    return p->a + s * (p->b + s * (p->c + s * p->d));
}

/* What is looked up for every reading of a log. */
static void integrate(struct fluid *fluid)
{
    fluid->cells_per_K = 1.0 / fluid->step_K;
    fluid->enthalpy[0] = 0.0;
    for (size_t i = 0; i + 1 < fluid->n; i++) {
        struct fluid_cubic cp = cell_cubic(fluid->cp, fluid->n, i);
        struct fluid_cubic *area = &fluid->enthalpy_in[i];
        *area = (struct fluid_cubic){cp.a, cp.b / 2.0, cp.c / 3.0, cp.d / 4.0};
        fluid->enthalpy[i + 1] = fluid->enthalpy[i] + fluid->step_K * cubic_at(area, 1.0);
        fluid->density_in[i] = cell_cubic(fluid->density, fluid->n, i);
    }
}

void fluid_scale(struct fluid *fluid, double cp_factor, double density_factor)
{
    for (size_t i = 0; i < fluid->n; i++) {
        fluid->cp[i] *= cp_factor;
        fluid->density[i] *= density_factor;
    }
    integrate(fluid);
}

bool fluid_covers(const struct fluid *fluid, double t_degC)
{
    return t_degC >= fluid->least_degC && t_degC <= fluid->most_degC;
}

/* Cell and place inside it of a covered temperature. */
static inline size_t find_cell(const struct fluid *fluid, double t_degC, double *s)
{
    double place = (t_degC - fluid->least_degC) * fluid->cells_per_K;
    size_t i = (size_t)(int)place; /* below FLUID_GRID; to int is quicker than to size_t */
    if (i > fluid->n - 2)
        i = fluid->n - 2;
    *s = place - (double)i;
    return i;
}

static double property_at(const struct fluid *fluid, const double *grid, double t_degC)
{
    double s;
    if (!fluid_covers(fluid, t_degC))
        return NAN;
    size_t i = find_cell(fluid, t_degC, &s);
    struct fluid_cubic cubic = cell_cubic(grid, fluid->n, i);
    return cubic_at(&cubic, s);
}

/* Density and enthalpy at place s of cell i. */
static inline double density_in(const struct fluid *fluid, size_t i, double s)
{
    return cubic_at(&fluid->density_in[i], s);
}

static inline double enthalpy_in(const struct fluid *fluid, size_t i, double s)
{
    return fluid->enthalpy[i] + fluid->step_K * (s * cubic_at(&fluid->enthalpy_in[i], s));
}

static inline double density(const struct fluid *fluid, double t_degC)
{
    double s;
    size_t i = find_cell(fluid, t_degC, &s);
    return density_in(fluid, i, s);
}

double fluid_density(const struct fluid *fluid, double t_degC)
{
    return fluid_covers(fluid, t_degC) ? density(fluid, t_degC) : NAN;
}

double fluid_cp(const struct fluid *fluid, double t_degC)
{
    return property_at(fluid, fluid->cp, t_degC);
}

double fluid_cp_by_fraction(const struct fluid *fluid, double t_degC)
{
    return property_at(fluid, fluid->cp_by_fraction, t_degC);
}

double fluid_density_by_fraction(const struct fluid *fluid, double t_degC)
{
    return property_at(fluid, fluid->density_by_fraction, t_degC);
}

const char *fluid_word(const struct fluid *fluid)
{
    return fluid->kind == FLUID_WATER ? "water" : "fluid";
}

static inline double enthalpy(const struct fluid *fluid, double t_degC)
{
    double s;
    size_t i = find_cell(fluid, t_degC, &s);
    return enthalpy_in(fluid, i, s);
}

double fluid_enthalpy_rise(const struct fluid *fluid, double from_degC, double to_degC)
{
    if (!fluid_covers(fluid, from_degC) || !fluid_covers(fluid, to_degC))
        return NAN;
    return enthalpy(fluid, to_degC) - enthalpy(fluid, from_degC);
}

static inline double heat_at(const struct fluid *fluid, double flow_m3_s, double in_degC,
                             double out_degC, bool meter_at_outlet)
{
    double s_in, s_out;
    if (!(fluid_covers(fluid, in_degC) && fluid_covers(fluid, out_degC)))
        return NAN;
    size_t in = find_cell(fluid, in_degC, &s_in), out = find_cell(fluid, out_degC, &s_out);
    double density_kg_m3 = meter_at_outlet ? density_in(fluid, out, s_out)
                                           : density_in(fluid, in, s_in);
    return density_kg_m3 * flow_m3_s *
           (enthalpy_in(fluid, out, s_out) - enthalpy_in(fluid, in, s_in));
}

/* A loop for each step: the compiler does a step for several temperatures at once, steps with a
 * choice of loads in them it does not. */
static ALWAYS_INLINE void places_of(const struct fluid *fluid, const double *restrict t_degC,
                                    double *restrict place)
{
    double least_degC = fluid->least_degC, cells_per_K = fluid->cells_per_K;
    for (size_t k = 0; k < HEAT_PIECE; k++)
        place[k] = (t_degC[k] - least_degC) * cells_per_K;
}

/* Whether a piece of places lies in two neighbouring cells: so near are temperatures that a logger
 * writes one after the other, and what is looked up once holds for all of them. Out: first  of
 * these cells */
static ALWAYS_INLINE bool find_cells(const struct fluid *fluid, const double *restrict place,
                                     size_t *first)
{
    long below = 0, outside = 0;
    if (!(place[0] >= 0.0 && place[0] < (double)fluid->n))
        return false;
    double from = floor(place[0]);
    for (size_t k = 0; k < HEAT_PIECE; k++)
        below |= place[k] < from;
    from = below != 0 && from > 0.0 ? from - 1.0 : from;
    for (size_t k = 0; k < HEAT_PIECE; k++) {
        outside |= !(place[k] >= from);
        outside |= !(place[k] < from + 2.0);
    }
    *first = (size_t)from;
    return outside == 0 && *first + 2 < fluid->n;
}

/* The cubic of the cell in which a place lies, of two, at that place. */
static ALWAYS_INLINE double cubic_of_two(const struct fluid_cubic *p, const struct fluid_cubic *q,
                                         bool in_first, double s)
{
    double a = in_first ? p->a : q->a, b = in_first ? p->b : q->b;
    double c = in_first ? p->c : q->c, d = in_first ? p->d : q->d;
    return a + s * (b + s * (c + s * d));
}

/* Density and enthalpy at a piece of places in cells `first` and first + 1. */
static ALWAYS_INLINE void densities_near(const struct fluid *fluid, size_t first,
                                         const double *restrict place, double *restrict out)
{
    const struct fluid_cubic p = fluid->density_in[first], q = fluid->density_in[first + 1];
    double from = (double)first, end = from + 1.0;
    for (size_t k = 0; k < HEAT_PIECE; k++) {
        bool in_first = place[k] < end;
        out[k] = cubic_of_two(&p, &q, in_first, place[k] - (in_first ? from : end));
    }
}

static ALWAYS_INLINE void enthalpies_near(const struct fluid *fluid, size_t first,
                                          const double *restrict place, double *restrict out)
{
    const struct fluid_cubic p = fluid->enthalpy_in[first], q = fluid->enthalpy_in[first + 1];
    double from = (double)first, end = from + 1.0, step_K = fluid->step_K;
    double at_first = fluid->enthalpy[first], at_end = fluid->enthalpy[first + 1];
    for (size_t k = 0; k < HEAT_PIECE; k++) {
        bool in_first = place[k] < end;
        double s = place[k] - (in_first ? from : end);
        out[k] = (in_first ? at_first : at_end) +
                 step_K * (s * cubic_of_two(&p, &q, in_first, s));
    }
}

/* The heat of HEAT_PIECE instants, as heat_at. Returns: false if it is not as simple as that. */
static ALWAYS_INLINE bool heat_of_piece(const struct fluid *fluid, bool meter_at_outlet,
                                        const double *restrict flow_m3_s,
                                        const double *restrict t_in_degC,
                                        const double *restrict t_out_degC, double *restrict heat_W)
{
    size_t in, out;
    double in_place[HEAT_PIECE], out_place[HEAT_PIECE];
    double inlet_J_kg[HEAT_PIECE], outlet_J_kg[HEAT_PIECE], density_kg_m3[HEAT_PIECE];
    places_of(fluid, t_in_degC, in_place);
    places_of(fluid, t_out_degC, out_place);
    if (!find_cells(fluid, in_place, &in) || !find_cells(fluid, out_place, &out))
        return false;
    densities_near(fluid, meter_at_outlet ? out : in, meter_at_outlet ? out_place : in_place,
                   density_kg_m3);
    enthalpies_near(fluid, in, in_place, inlet_J_kg);
    enthalpies_near(fluid, out, out_place, outlet_J_kg);
    for (size_t k = 0; k < HEAT_PIECE; k++)
        heat_W[k] = density_kg_m3[k] * flow_m3_s[k] * (outlet_J_kg[k] - inlet_J_kg[k]);
    return true;
}

WIDE_CLONES
void fluid_heat(const struct fluid *fluid, bool meter_at_outlet, const double *flow_m3_s,
                const double *t_in_degC, const double *t_out_degC, size_t n, double *heat_W)
{
    for (size_t i = 0, end; i < n; i = end) {
        end = i + HEAT_PIECE <= n ? i + HEAT_PIECE : n;
        if (end - i == HEAT_PIECE && heat_of_piece(fluid, meter_at_outlet, flow_m3_s + i,
                                                   t_in_degC + i, t_out_degC + i, heat_W + i))
            continue;
        for (; i < end; i++)
            heat_W[i] = heat_at(fluid, flow_m3_s[i], t_in_degC[i], t_out_degC[i], meter_at_outlet);
    }
}

/* IAPWS-IF97, region 1 (liquid): dimensionless Gibbs energy, sum of n (7.1 - pi)^I (tau -
 * 1.222)^J. */
static const struct {
    int i;
    int j;
    double n;
} region1[] = {
    {0, -2, 0.14632971213167},        {0, -1, -0.84548187169114},
    {0, 0, -0.37563603672040e1},      {0, 1, 0.33855169168385e1},
    {0, 2, -0.95791963387872},        {0, 3, 0.15772038513228},
    {0, 4, -0.16616417199501e-1},     {0, 5, 0.81214629983568e-3},
    {1, -9, 0.28319080123804e-3},     {1, -7, -0.60706301565874e-3},
    {1, -1, -0.18990068218419e-1},    {1, 0, -0.32529748770505e-1},
    {1, 1, -0.21841717175414e-1},     {1, 3, -0.52838357969930e-4},
    {2, -3, -0.47184321073267e-3},    {2, 0, -0.30001780793026e-3},
    {2, 1, 0.47661393906987e-4},      {2, 3, -0.44141845330846e-5},
    {2, 17, -0.72694996297594e-15},   {3, -4, -0.31679644845054e-4},
    {3, 0, -0.28270797985312e-5},     {3, 6, -0.85205128120103e-9},
    {4, -5, -0.22425281908000e-5},    {4, -2, -0.65171222895601e-6},
    {4, 10, -0.14341729937924e-12},   {5, -8, -0.40516996860117e-6},
    {8, -11, -0.12734301741641e-8},   {8, -6, -0.17424871230634e-9},
    {21, -29, -0.68762131295531e-18}, {23, -31, 0.14478307828521e-19},
    {29, -38, 0.26335781662795e-22},  {30, -39, -0.11947622640071e-22},
    {31, -40, 0.18228094581404e-23},  {32, -41, -0.93537087292458e-25},
};

static const double gas_constant_J_kgK = 461.526;
static const double atmosphere_Pa = 101325.0;

/* Saturation pressure, IAPWS-IF97, region 4. */
static double saturation_Pa(double t_K)
{
    double theta = t_K - 0.23855557567849 / (t_K - 0.65017534844798e3);
    double a = theta * theta + 0.11670521452767e4 * theta - 0.72421316703206e6;
    double b =
        -0.17073846940092e2 * theta * theta + 0.12020824702470e5 * theta - 0.32325550322333e7;
    double c = 0.14915108613530e2 * theta * theta - 0.48232657361591e4 * theta + 0.40511340542057e6;
    return 1e6 * pow(2.0 * c / (-b + sqrt(b * b - 4.0 * a * c)), 4.0);
}

static void water_at(double t_K, double *density, double *cp)
{
    double p_Pa = fmax(atmosphere_Pa, saturation_Pa(t_K));
    double pi = p_Pa / 16.53e6;
    double tau = 1386.0 / t_K;
    double by_pi = 0.0;
    double by_tau_tau = 0.0;
    for (size_t k = 0; k < sizeof region1 / sizeof region1[0]; k++) {
        double i = region1[k].i;
        double j = region1[k].j;
        double n = region1[k].n;
        by_pi -= n * i * pow(7.1 - pi, i - 1.0) * pow(tau - 1.222, j);
        by_tau_tau += n * pow(7.1 - pi, i) * j * (j - 1.0) * pow(tau - 1.222, j - 2.0);
    }
    *density = p_Pa / (pi * by_pi * gas_constant_J_kgK * t_K);
    *cp = -gas_constant_J_kgK * tau * tau * by_tau_tau;
}

void fluid_water(struct fluid *fluid)
{
    name_fluid(fluid, "water",
               "IAPWS-IF97, region 1, at 101.325 kPa, above 100 degC at saturation [checked "
               "against its published values]");
    fluid->kind = FLUID_WATER;
    fluid->least_degC = 0.0;
    fluid->most_degC = 130.0;
    /* IF97 and IAPWS-95 differ by up to 0.08 % in cp below 120 degC, taken as a limit. Density: our
     * figure, for what tap water holds in salts and air. */
    fluid->u_cp = 0.0008 / sqrt(3.0);
    fluid->u_density = 0.0003;
    fluid->n = 131;
    fluid->step_K = 1.0;
    for (size_t i = 0; i < fluid->n; i++)
        water_at(273.15 + (double)i, &fluid->density[i], &fluid->cp[i]);
    integrate(fluid);
}

static void name_mixture(struct fluid *fluid, enum glycol glycol, bool by_mass, double fraction)
{
    double volume = by_mass ? glycol_volume_of(glycol, fraction) : fraction;
    double mass = by_mass ? fraction : glycol_mass_of(glycol, fraction);
    name_fluid(fluid, "",
               "polynomial of the tables in ASHRAE, Handbook of Fundamentals (2001) [read "
               "second-hand, checked against the tables]");
    snprintf(fluid->name, sizeof fluid->name, "water with %.4g %% %s by %s", 100.0 * fraction,
             glycol_name(glycol), by_mass ? "mass" : "volume");
    fluid->kind = FLUID_GLYCOL;
    fluid->mixture =
        (struct fluid_mixture){glycol, by_mass, volume, mass, glycol_freezing_degC(glycol, mass)};
}

/* One point of the grid; h is half a point of the fraction, small against what the polynomial bends
 * by. */
static void fill_mixture(struct fluid *fluid, size_t i, double t_degC)
{
    const struct fluid_mixture *m = &fluid->mixture;
    const double h = 0.005;
    double low = m->by_mass ? glycol_volume_of(m->glycol, m->mass - h) : m->volume - h;
    double high = m->by_mass ? glycol_volume_of(m->glycol, m->mass + h) : m->volume + h;
    fluid->density[i] = glycol_density(m->glycol, GLYCOL_ASHRAE, m->volume, t_degC);
    fluid->cp[i] = glycol_cp(m->glycol, GLYCOL_ASHRAE, m->volume, t_degC);
    fluid->density_by_fraction[i] = (glycol_density(m->glycol, GLYCOL_ASHRAE, high, t_degC) -
                                     glycol_density(m->glycol, GLYCOL_ASHRAE, low, t_degC)) /
                                    (2.0 * h * fluid->density[i]);
    fluid->cp_by_fraction[i] = (glycol_cp(m->glycol, GLYCOL_ASHRAE, high, t_degC) -
                                glycol_cp(m->glycol, GLYCOL_ASHRAE, low, t_degC)) /
                               (2.0 * h * fluid->cp[i]);
}

void fluid_glycol(struct fluid *fluid, enum glycol glycol, bool by_mass, double fraction)
{
    name_mixture(fluid, glycol, by_mass, fraction);
    fluid->least_degC = fmax(glycol_least_degC, fluid->mixture.freezing_degC);
    fluid->most_degC = glycol_most_degC;
    /* Our figures, of the size that tables, additives and mixing errors show; never less than what
     * published sources differ by, taken as a limit (docs/methods.md, "Glycol in water"). */
    struct glycol_spread spread = glycol_spread(glycol, fluid->mixture.volume);
    fluid->u_cp = fmax(0.015, fabs(spread.cp) / sqrt(3.0));
    fluid->u_density = fmax(0.005, fabs(spread.density) / sqrt(3.0));
    fluid->u_fraction = 0.02;
    fluid->n = FLUID_GRID;
    fluid->step_K = (fluid->most_degC - fluid->least_degC) / (FLUID_GRID - 1);
    for (size_t i = 0; i < fluid->n; i++)
        fill_mixture(fluid, i, fluid->least_degC + (double)i * fluid->step_K);
    integrate(fluid);
}

static bool refuse_row(const char *file, size_t row, const char *what, struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(file, 0, 0));
    fault_found(fault, "row %zu of the fluid's table: %s", row + 1, what);
    fault_expected(fault, "temperatures (degC) that rise from row to row, densities of 100 to 3000 "
                          "kg/m3, specific heats of 500 to 10000 J/(kg K)");
    return false;
}

static bool check_table(const double *t_degC, const double *density, const double *cp, size_t n,
                        const char *file, struct faults *faults)
{
    if (n < 2) {
        struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(file, 0, 0));
        fault_found(fault, "the fluid's table has %zu row%s", n, n == 1 ? "" : "s");
        fault_expected(fault, "at least 2 rows, from the coldest to the hottest fluid of the test");
        return false;
    }
    for (size_t i = 0; i < n; i++) {
        if (!(t_degC[i] >= -100.0 && t_degC[i] <= 400.0) || (i > 0 && !(t_degC[i] > t_degC[i - 1])))
            return refuse_row(file, i, "the temperature does not rise or is out of range", faults);
        if (!(density[i] >= 100.0 && density[i] <= 3000.0))
            return refuse_row(file, i, "the density is out of range", faults);
        if (!(cp[i] >= 500.0 && cp[i] <= 10000.0))
            return refuse_row(file, i, "the specific heat is out of range", faults);
    }
    return true;
}

static double straight(const double *t_degC, const double *y, size_t n, double at_degC)
{
    size_t i = 0;
    while (i + 2 < n && at_degC > t_degC[i + 1])
        i++;
    double s = (at_degC - t_degC[i]) / (t_degC[i + 1] - t_degC[i]);
    return y[i] + s * (y[i + 1] - y[i]);
}

bool fluid_table(struct fluid *fluid, const char *name, const double *t_degC, const double *density,
                 const double *cp, size_t n, const char *file, struct faults *faults)
{
    if (!check_table(t_degC, density, cp, n, file, faults))
        return false;
    name_fluid(fluid, name, "the user's table");
    fluid->least_degC = t_degC[0];
    fluid->most_degC = t_degC[n - 1];
    /* Our figures, of the size that tables and mixing errors of antifreeze show. */
    fluid->u_cp = 0.015;
    fluid->u_density = 0.005;
    fluid->n = FLUID_GRID;
    fluid->step_K = (t_degC[n - 1] - t_degC[0]) / (FLUID_GRID - 1);
    for (size_t i = 0; i < fluid->n; i++) {
        double at_degC = fluid->least_degC + (double)i * fluid->step_K;
        fluid->density[i] = straight(t_degC, density, n, at_degC);
        fluid->cp[i] = straight(t_degC, cp, n, at_degC);
    }
    integrate(fluid);
    return true;
}
