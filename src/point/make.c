#include "point/point.h"

#include "point/reading_errors.h"

#include <math.h>
#include <string.h>

/* Sums of what independent errors do to a point. */
struct spread {
    double eta2;
    double x2;
    double cross;
};

/* Adds one error: the half difference of the point under +-u. */
static enum point_status add_error(struct spread *sum, const struct means *means,
                                   const struct point_setup *setup, const struct error_source *row,
                                   double u)
{
    struct shifts up, down;
    memset(&up, 0, sizeof up);
    memset(&down, 0, sizeof down);
    shifts_add(&up, row, u);
    shifts_add(&down, row, -u);
    struct point_value high, low;
    enum point_status status = point_evaluate(means, setup, &up, &high);
    if (status == POINT_OK)
        status = point_evaluate(means, setup, &down, &low);
    if (status != POINT_OK)
        return status;
    double eta = 0.5 * (high.eta - low.eta);
    double x = 0.5 * (high.x - low.x);
    sum->eta2 += eta * eta;
    sum->x2 += x * x;
    sum->cross += eta * x;
    return POINT_OK;
}

/* The errors that are fresh for each window. */
static enum point_status add_readings(struct spread *sum, const struct means *means,
                                      const struct point_setup *setup,
                                      const struct error_registry *registry)
{
    enum point_status status = POINT_OK;
    struct error_source row;
    size_t n = reading_errors_count(registry);
    for (size_t k = 0; k < n && status == POINT_OK; k++)
        if (reading_error(means, registry, k, &row))
            status = add_error(sum, means, setup, &row, row.u);
    return status;
}

static enum point_status add_sessions(struct spread *sum, const struct means *means,
                                      const struct point_setup *setup,
                                      const struct error_registry *registry)
{
    enum point_status status = POINT_OK;
    for (size_t i = 0; i < registry->n && status == POINT_OK; i++)
        if (registry->rows[i].kind == ERROR_SESSION && error_source_acts(&registry->rows[i], means))
            status = add_error(sum, means, setup, &registry->rows[i], registry->rows[i].u);
    return status;
}

/* Standard uncertainty of the mean wind from its own noise and the registry's reading rows. */
static double wind_reading(const struct means *means, const struct error_registry *registry)
{
    double sum = 0;
    struct error_source row;
    size_t n = means->has[CH_WIND] ? reading_errors_count(registry) : 0;
    for (size_t k = 0; k < n; k++) {
        if (!reading_error(means, registry, k, &row) || row.targets[0].channel != CH_WIND ||
            (row.targets[0].what != SHIFT_GAIN && row.targets[0].what != SHIFT_OFFSET))
            continue;
        double u = row.u * (row.targets[0].what == SHIFT_GAIN ? means->mean[CH_WIND] : 1.0);
        sum += u * u;
    }
    return sqrt(sum);
}

static void refuse(const struct means *means, const struct fluid *fluid, enum point_status status,
                   struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_DATA, fault_at(NULL, 0, 0));
    fault_found(fault, "point '%s' cannot be formed: %s", means->name, point_status_text(status));
    if (status == POINT_OFF_TABLE)
        fault_expected(fault,
                       "inlet and outlet within the range of %s, %.1f to %.1f degC; found %.1f and "
                       "%.1f degC",
                       fluid->name, fluid->least_degC, fluid->most_degC, means->mean[CH_INLET],
                       means->mean[CH_OUTLET]);
    else if (status == POINT_NO_FLOW || status == POINT_NO_SUN)
        fault_expected(fault, "irradiance and flow above zero; found %.3g W/m2 and %.3g m3/s",
                       means->mean[CH_IRRADIANCE], means->mean[CH_FLOW]);
}

bool point_make(struct point *point, const struct means *means, const struct point_setup *setup,
                const struct error_registry *registry, struct faults *faults)
{
    memset(point, 0, sizeof *point);
    point->means = means;
    struct spread reading = {0};
    struct spread session = {0};
    enum point_status status = point_evaluate(means, setup, NULL, &point->value);
    if (means->reduced) {
        reading.eta2 = means->u_eta * means->u_eta;
        reading.x2 = means->u_x * means->u_x;
    }
    if (status == POINT_OK)
        status = add_readings(&reading, means, setup, registry);
    if (status == POINT_OK)
        status = add_sessions(&session, means, setup, registry);
    if (status != POINT_OK) {
        refuse(means, setup->fluid, status, faults);
        return false;
    }
    point->u_eta_reading = sqrt(reading.eta2);
    point->u_x_reading = sqrt(reading.x2);
    point->cov_reading = reading.cross;
    point->fit.at.x = point->value.x;
    point->fit.at.g = point->value.g_W_m2;
    point->u_wind_reading = wind_reading(means, registry);
    if (means->has[CH_WIND])
        point->fit.at.wind = point->value.wind_m_s - setup->wind_origin_m_s;
    point->fit.eta = point->value.eta;
    point->fit.u_eta = sqrt(reading.eta2 + session.eta2);
    point->fit.u_x = sqrt(reading.x2 + session.x2);
    point->fit.cov_eta_x = reading.cross + session.cross;
    return true;
}
