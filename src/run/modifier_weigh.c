/* What a reading does to the angle and the diffuse share of its own point. */
#include "run/modifier_job.h"

#include "point/reading_errors.h"
#include "run/modifier_stand.h"

#include <math.h>
#include <string.h>

/* What a point's ratio is, and what the form expects of it. */
struct sides {
    double ratio, model;
};

static bool under(const struct modifier_job *job, const struct modifier_state *state,
                  const struct fit_modifier_near *near, size_t index,
                  const struct error_source *row, double by, struct sides *out)
{
    struct shifts shifts;
    struct point_value value;
    memset(&shifts, 0, sizeof shifts);
    shifts_add(&shifts, row, by);
    if (point_evaluate(job->points[index].means, job->setup, &shifts, &value) != POINT_OK)
        return false;
    struct fit_angle at = modifier_angle(&value, job->setup);
    out->ratio = modifier_ratio(job->e->form, job->e->curve.coef, &value, job->setup);
    out->model = fit_modifier_total(fit_modifier_beam(&state->m, &at),
                                    fit_modifier_diffuse(&state->m), modifier_share_fitted(&value),
                                    fit_modifier_beam(&state->m, &near->at), near->diffuse_share);
    return true;
}

/* Both sides of a reading that cannot be formed say nothing: as it was. */
static double more_of(const struct modifier_job *job, const struct modifier_state *state,
                      const struct fit_modifier_near *near, size_t index,
                      const struct error_source *row)
{
    struct sides up, down;
    if (!under(job, state, near, index, row, row->u, &up) ||
        !under(job, state, near, index, row, -row->u, &down))
        return 0;
    double ratio = 0.5 * (up.ratio - down.ratio), model = 0.5 * (up.model - down.model);
    return model * (model - 2 * ratio);
}

void modifier_weigh(const struct modifier_job *job, const struct modifier_state *state,
                    const struct fit_modifier_near *near)
{
    for (size_t i = 0; i < job->out->n; i++) {
        size_t index = job->out->points[i].index;
        double u2 = job->moved[i].u * job->moved[i].u;
        struct error_source row;
        for (size_t k = 0; k < reading_errors_count(job->registry); k++)
            if (reading_error(job->points[index].means, job->registry, k, &row))
                u2 += more_of(job, state, near, index, &row);
        if (u2 > 0)
            job->moved[i].u = sqrt(u2);
    }
}
