#include "study/point_shift.h"

#include <string.h>

/* Efficiency less curve of a point under a shift. */
static enum point_status off_curve(const struct tested *tested, size_t i,
                                   const struct error_source *row, double value, double *off)
{
    const struct efficiency *e = &tested->e;
    const struct means *means = tested->points[e->index[i]].means;
    struct point_value moved;
    struct shifts shifts;
    memset(&shifts, 0, sizeof shifts);
    shifts_add(&shifts, row, value);
    enum point_status status = point_evaluate(means, &tested->setup, &shifts, &moved);
    if (status != POINT_OK)
        return status;
    struct fit_condition at = {.x = moved.x, .g = moved.g_W_m2, .wind = e->used[i].at.wind};
    if (means->has[CH_WIND])
        at.wind = moved.wind_m_s - tested->setup.wind_origin_m_s;
    *off = moved.eta - fit_form_value(e->form, e->curve.coef, &at);
    return POINT_OK;
}

bool point_shift(const struct tested *tested, size_t i, const struct error_source *row,
                 double *shift, struct faults *faults)
{
    double up, down;
    *shift = 0;
    if (!error_source_acts(row, tested->points[tested->e.index[i]].means))
        return true;
    enum point_status status = off_curve(tested, i, row, row->u, &up);
    if (status == POINT_OK)
        status = off_curve(tested, i, row, -row->u, &down);
    if (status == POINT_OK) {
        *shift = 0.5 * (up - down);
        return true;
    }
    struct fault *fault = fault_new(faults, FAULT_DATA,
                                    fault_at(tested->reduction->setup.path, 0, 0));
    fault_found(fault, "point '%s' cannot be formed when %s moves by its uncertainty: %s",
                tested->points[tested->e.index[i]].means->name, row->label,
                point_status_text(status));
    fault_hint(fault, "the stated uncertainty is too large for this test; check its unit");
    return false;
}

double point_shift_wind(const struct tested *t, size_t i)
{
    const struct point_value *value = &t->points[t->e.index[i]].value;
    return t->e.wind_left_out > 0
               ? t->e.wind_left_out * (value->wind_m_s - t->e.design.mean_wind_m_s) * value->x
               : 0;
}

double point_shift_sky(const struct tested *t, size_t i)
{
    const struct point_value *value = &t->points[t->e.index[i]].value;
    return t->e.sky_left_out > 0
               ? t->e.sky_left_out * (value->sky_K - t->e.design.mean_sky_K) / value->g_W_m2
               : 0;
}
