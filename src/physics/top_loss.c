#include "physics/top_loss.h"

#include "physics/air.h"
#include "physics/root.h"

#include <math.h>
#include <string.h>

#define COLDEST_K 20.0 /* a cover is never colder: the sky may be, in principle */

struct balance {
    const struct top_in *in;
    struct top_out *out;
    bool failed;      /* an inner root did not close */
    double flux_W_m2; /* wanted from `below_K` to the cover looked for */
    double below_K;
    double below_emittance;
    size_t cover;
};

static double fourth(double t_K)
{
    return t_K * t_K * t_K * t_K;
}

static int most_steps(const struct top_in *in)
{
    return in->most_steps > 0 ? in->most_steps : ROOT_STEPS;
}

/* Radiation between two grey plates over the difference of their temperatures. */
static double radiation_W_m2K(double a_K, double b_K, double a_emittance, double b_emittance)
{
    if (!(a_emittance > 0.0) || !(b_emittance > 0.0))
        return 0.0;
    double exchange = 1.0 / (1.0 / a_emittance + 1.0 / b_emittance - 1.0);
    return exchange * AIR_STEFAN_BOLTZMANN * (a_K * a_K + b_K * b_K) * (a_K + b_K);
}

/* Heat from the surface below to cover i. */
static double flux_up(const struct balance *b, size_t i, double below_K, double emittance,
                      double cover_K)
{
    const struct top_cover *cover = &b->in->cover[i];
    double gap = b->in->gap_factor *
                 air_gap_W_m2K(below_K, cover_K, cover->gap_m, b->in->tilt_rad, NULL, NULL);
    return (gap + radiation_W_m2K(below_K, cover_K, emittance, cover->emittance)) *
           (below_K - cover_K);
}

static double flux_missing(double cover_K, void *state)
{
    const struct balance *b = state;
    return flux_up(b, b->cover, b->below_K, b->below_emittance, cover_K) - b->flux_W_m2;
}

/* The temperature of cover i when the flux from below is known; the coldest or hottest possible
 * where even that would not carry it, which tells the outer root its sign. */
static double cover_of_flux(struct balance *b, size_t i, double below_K, double flux_W_m2)
{
    double high_K = fmax(below_K, 300.0) + 3000.0;
    b->cover = i;
    b->below_K = below_K;
    b->below_emittance = b->in->cover[i + 1].emittance;
    b->flux_W_m2 = flux_W_m2;
    if (flux_missing(COLDEST_K, b) <= 0.0)
        return COLDEST_K;
    if (flux_missing(high_K, b) >= 0.0)
        return high_K;
    struct root root;
    if (!root_find(flux_missing, b, COLDEST_K, high_K, most_steps(b->in), &root))
        b->failed = true;
    return root.x;
}

static void outside(const struct top_in *in, double t_K, double emittance, struct top_out *out)
{
    out->wind_W_m2 = in->wind_W_m2K * (t_K - (in->ambient_degC + AIR_KELVIN));
    out->sky_W_m2 =
        emittance * AIR_STEFAN_BOLTZMANN * (fourth(t_K) - fourth(in->sky_degC + AIR_KELVIN));
}

/* With the innermost cover at a temperature, the others follow; what the outermost receives less
 * what it loses. */
static double surplus(double inner_K, void *state)
{
    struct balance *b = state;
    const struct top_in *in = b->in;
    double plate_K = in->plate_degC + AIR_KELVIN, t_K = inner_K;
    size_t i = in->n - 1;
    double flux = flux_up(b, i, plate_K, in->plate_emittance, inner_K);
    b->out->plate_W_m2 = flux;
    for (;;) {
        b->out->cover_degC[i] = t_K - AIR_KELVIN;
        flux += in->cover[i].sun_W_m2;
        if (i == 0)
            break;
        i--;
        t_K = cover_of_flux(b, i, t_K, flux);
    }
    outside(in, t_K, in->cover[0].emittance, b->out);
    return flux - b->out->wind_W_m2 - b->out->sky_W_m2;
}

static bool refuse(const struct top_in *in, const struct root *root, struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_DATA, fault_at(NULL, 0, 0));
    fault_found(fault,
                "the balance of plate, covers and sky does not close: %.3g W/m2 are left with the "
                "plate at %.1f degC",
                root->residual, in->plate_degC);
    fault_expected(fault,
                   "a temperature of the innermost cover between %.0f and %.0f degC; %d steps "
                   "were tried",
                   root->low - AIR_KELVIN, root->high - AIR_KELVIN, root->steps);
    fault_hint(fault, "look at emittances, gaps and the temperatures of air and sky");
    return false;
}

static bool solve(struct balance *b, struct faults *faults)
{
    const struct top_in *in = b->in;
    double plate_K = in->plate_degC + AIR_KELVIN, sun = 0.0;
    for (size_t i = 0; i < in->n; i++)
        sun += in->cover[i].sun_W_m2;
    double coldest = fmin(plate_K, AIR_KELVIN + fmin(in->ambient_degC, in->sky_degC));
    double hottest = fmax(plate_K, AIR_KELVIN + fmax(in->ambient_degC, in->sky_degC));
    struct root root;
    /* Below the coldest of all a cover only gains; above the hottest, with all the sunshine carried
     * off by the wind alone on top (and through the gaps above it), it only loses. */
    double low = fmax(coldest - 1.0, COLDEST_K);
    double high =
        hottest + 1.0 + 4.0 * sun / in->wind_W_m2K + (in->n > 1 && sun > 0.0 ? 500.0 : 0.0);
    bool found = root_find(surplus, b, low, high, most_steps(in), &root);
    surplus(root.x, b);
    b->out->steps = root.steps;
    return (found && !b->failed) || refuse(in, &root, faults);
}

bool top_loss(const struct top_in *in, struct top_out *out, struct faults *faults)
{
    struct balance b = {.in = in, .out = out};
    double plate_K = in->plate_degC + AIR_KELVIN;
    memset(out, 0, sizeof *out);
    if (in->n == 0) {
        outside(in, plate_K, in->plate_emittance, out);
        out->plate_W_m2 = out->wind_W_m2 + out->sky_W_m2;
        return true;
    }
    if (!solve(&b, faults))
        return false;
    const struct top_cover *inner = &in->cover[in->n - 1];
    double inner_K = out->cover_degC[in->n - 1] + AIR_KELVIN;
    out->convection_W_m2K =
        in->gap_factor *
        air_gap_W_m2K(plate_K, inner_K, inner->gap_m, in->tilt_rad, &out->rayleigh, &out->nusselt);
    out->radiation_W_m2K = radiation_W_m2K(plate_K, inner_K, in->plate_emittance, inner->emittance);
    return true;
}

double top_loss_klein(size_t covers, double plate_emittance, double cover_emittance,
                      double plate_degC, double ambient_degC, double wind_W_m2K, double tilt_rad)
{
    double n = (double)covers, tp = plate_degC + AIR_KELVIN, ta = ambient_degC + AIR_KELVIN;
    if (covers == 0 || !(tp > ta))
        return NAN;
    double tilt_deg = fmin(tilt_rad * 180.0 / 3.14159265358979323846, 70.0);
    double f =
        (1.0 + 0.089 * wind_W_m2K - 0.1166 * wind_W_m2K * plate_emittance) * (1.0 + 0.07866 * n);
    double c = 520.0 * (1.0 - 0.000051 * tilt_deg * tilt_deg);
    double e = 0.430 * (1.0 - 100.0 / tp);
    double through = n / (c / tp * pow((tp - ta) / (n + f), e)) + 1.0 / wind_W_m2K;
    double rays = 1.0 / (plate_emittance + 0.00591 * n * wind_W_m2K) +
                  (2.0 * n + f - 1.0 + 0.133 * plate_emittance) / cover_emittance - n;
    return 1.0 / through + AIR_STEFAN_BOLTZMANN * (tp + ta) * (tp * tp + ta * ta) / rays;
}
