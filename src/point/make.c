#include "point/point.h"

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

/* The means' own reading errors: each channel's mean, and the drift, moved by its standard
 * uncertainty. (The mean and the slope of equally spaced readings err independently.) */
static enum point_status add_noise(struct spread *sum, const struct means *means,
                                   const struct point_setup *setup)
{
    enum point_status status = POINT_OK;
    for (int ch = 0; ch < CH_LOGGED && status == POINT_OK; ch++) {
        if (!means->has[ch] || !(means->u[ch] > 0))
            continue;
        struct error_source noise = {
            .kind = ERROR_READING,
            .n_targets = 1,
            .targets = {{.what = SHIFT_OFFSET, .channel = (enum channel)ch, .weight = 1}}};
        status = add_error(sum, means, setup, &noise, means->u[ch]);
    }
    static const struct error_source drift = {
        .kind = ERROR_READING, .n_targets = 1, .targets = {{.what = SHIFT_DRIFT, .weight = 1}}};
    if (status == POINT_OK && means->u_drift_K_s > 0)
        status = add_error(sum, means, setup, &drift, means->u_drift_K_s);
    return status;
}

/* What a row gives to the mean of these readings. An error of one sample averages down; a count that is
 * not known counts as one, on the cautious side. Where a log's own noise was measured, it holds that
 * error already: only what the stated figure has more of is added. */
static double u_of_mean(const struct error_source *row, const struct means *means)
{
    if (!row->per_sample)
        return row->u;
    double n = means->readings > 0 ? (double)means->readings : 1.0;
    enum channel channel = row->targets[0].channel;
    double unit = row->targets[0].what == SHIFT_GAIN ? fabs(means->mean[channel]) : 1.0;
    double measured = unit > 0 && means->has[channel] ? means->u[channel] / unit : 0;
    return sqrt(fmax(0, row->u * row->u / n - measured * measured));
}

static enum point_status add_rows(struct spread *sum, const struct means *means,
                                  const struct point_setup *setup,
                                  const struct error_registry *registry, enum error_kind kind)
{
    enum point_status status = POINT_OK;
    for (size_t i = 0; i < registry->n && status == POINT_OK; i++)
        if (registry->rows[i].kind == kind)
            status = add_error(sum, means, setup, &registry->rows[i],
                               u_of_mean(&registry->rows[i], means));
    return status;
}

/* Standard uncertainty of the mean wind from its own noise and the registry's reading rows. */
static double wind_reading(const struct means *means, const struct error_registry *registry)
{
    double sum = means->has[CH_WIND] ? means->u[CH_WIND] * means->u[CH_WIND] : 0;
    for (size_t i = 0; i < registry->n; i++) {
        const struct error_source *row = &registry->rows[i];
        if (row->kind != ERROR_READING || row->targets[0].channel != CH_WIND ||
            (row->targets[0].what != SHIFT_GAIN && row->targets[0].what != SHIFT_OFFSET))
            continue;
        double unit = row->targets[0].what == SHIFT_GAIN ? means->mean[CH_WIND] : 1.0;
        double u = u_of_mean(row, means) * unit;
        sum += u * u;
    }
    return means->has[CH_WIND] ? sqrt(sum) : 0;
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
    fault_hint(fault, "check the instrument's column, unit, gain and add in the description");
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
        status = add_noise(&reading, means, setup);
    if (status == POINT_OK)
        status = add_rows(&reading, means, setup, registry, ERROR_READING);
    if (status == POINT_OK)
        status = add_rows(&session, means, setup, registry, ERROR_SESSION);
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
