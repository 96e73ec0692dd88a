#include "physics/predict.h"

#include "fit/linear.h"

#include <math.h>

#define RAD_PER_DEG (3.14159265358979323846 / 180.0)

enum { WINDS = 3 };

bool predict_efficiency(const struct plate *plate, const struct plate_weather *weather,
                        const struct cover_absorbed *optics, const struct plate_flow *flow,
                        double reference_m2, double x_m2K_W, double *eta, struct faults *faults)
{
    struct plate_flow at = *flow;
    struct plate_state state;
    at.t_degC = weather->ambient_degC + x_m2K_W * weather->g_W_m2;
    if (!plate_solve(plate, weather, optics, &at, 0, &state, faults))
        return false;
    *eta = state.useful_W / (reference_m2 * weather->g_W_m2);
    return true;
}

static bool refuse_form(const struct fit_form *form, struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_DATA, fault_at(NULL, 0, 0));
    fault_found(fault, "the range of temperatures and winds cannot hold the form '%s'", form->name);
    return false;
}

bool predict_curve(const struct plate *plate, const struct plate_weather *weather,
                   const struct plate_flow *flow, double reference_m2, const struct fit_form *form,
                   const struct predict_range *range, double *coef, struct faults *faults)
{
    double terms[PREDICT_STEPS * WINDS * FIT_FORM_MAX_COEF], eta[PREDICT_STEPS * WINDS];
    size_t n = 0, winds = form->with_wind ? WINDS : 1;
    struct cover_absorbed optics;
    plate_optics(plate, weather, &optics);
    for (size_t i = 0; i < winds * PREDICT_STEPS; i++) {
        struct plate_weather here = *weather;
        double share = (double)(i % PREDICT_STEPS) / (PREDICT_STEPS - 1);
        double gust = (double)(i / PREDICT_STEPS) / (WINDS - 1);
        if (form->with_wind)
            here.wind_m_s =
                range->wind_low_m_s + gust * (range->wind_high_m_s - range->wind_low_m_s);
        struct fit_condition at = {.x = range->x_low_m2K_W +
                                        share * (range->x_high_m2K_W - range->x_low_m2K_W),
                                   .g = weather->g_W_m2,
                                   .wind = here.wind_m_s - range->wind_origin_m_s};
        if (!predict_efficiency(plate, &here, &optics, flow, reference_m2, at.x, &eta[n], faults))
            return false;
        form->terms(&at, &terms[form->n_coef * n++]);
    }
    struct fit_linear fit;
    if (fit_linear(terms, eta, NULL, n, form->n_coef, &fit) != FIT_OK)
        return refuse_form(form, faults);
    for (size_t j = 0; j < form->n_coef; j++)
        coef[j] = fit.coef[j];
    return true;
}

static double taken_up(const struct plate *plate, double incidence_rad)
{
    struct cover_absorbed light;
    double ratio = plate->absorptance_falls ? cover_black_ratio(incidence_rad) : 1.0;
    cover_absorbed(plate->sheet, plate->n_covers, plate->absorptance * ratio, incidence_rad,
                   &light);
    return light.plate;
}

double predict_modifier(const struct plate *plate, double incidence_rad)
{
    return taken_up(plate, incidence_rad) / taken_up(plate, 0.0);
}

double predict_modifier_diffuse(const struct plate *plate)
{
    struct cover_absorbed light;
    cover_absorbed_diffuse(plate->sheet, plate->n_covers, plate->absorptance,
                           plate->absorptance_falls, &light);
    return light.plate / taken_up(plate, 0.0);
}

double predict_b0(const struct plate *plate, double up_to_deg)
{
    double xx = 0.0, xy = 0.0;
    for (double deg = 5.0; deg <= up_to_deg + 1e-9; deg += 5.0) {
        double x = 1.0 / cos(deg * RAD_PER_DEG) - 1.0;
        xx += x * x;
        xy += x * (1.0 - predict_modifier(plate, deg * RAD_PER_DEG));
    }
    return xy / xx;
}
