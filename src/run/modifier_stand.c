#include "run/modifier_stand.h"

#include <math.h>

struct fit_angle modifier_angle(const struct point_value *value, const struct point_setup *setup)
{
    double slope = isfinite(value->slope_rad) ? value->slope_rad : 0;
    double across = isfinite(value->across_rad) ? value->across_rad : 0;
    return (struct fit_angle){.theta_rad = fmin(fabs(value->incidence_rad), 0.999 * M_PI_2),
                              .along_rad = setup->tubes_level ? across : slope,
                              .across_rad = setup->tubes_level ? slope : across};
}

double modifier_share_of(const struct point_value *value)
{
    return isfinite(value->diffuse_share) ? fmin(fmax(value->diffuse_share, 0), 1) : 0;
}

double modifier_share_fitted(const struct point_value *value)
{
    return fmin(modifier_share_of(value), 0.99);
}

struct fit_condition modifier_condition(const struct point_value *value,
                                        const struct point_setup *setup)
{
    double wind = value->wind_m_s - setup->wind_origin_m_s;
    return (struct fit_condition){value->x, value->g_W_m2, isfinite(wind) ? wind : 0};
}

double modifier_ratio(const struct fit_form *form, const double *coef,
                      const struct point_value *value, const struct point_setup *setup)
{
    struct fit_condition at = modifier_condition(value, setup);
    return 1 + (value->eta - fit_form_value(form, coef, &at)) / coef[0];
}
