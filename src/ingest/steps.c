#include "ingest/steps.h"

#include "ingest/screen_limits.h"

#include <math.h>
#include <string.h>

void steps_init(struct steps *steps, const struct log_plan *plan)
{
    memset(steps, 0, sizeof *steps);
    steps->plan = plan;
    for (size_t k = 0; k < plan->n_columns; k++) {
        steps->column[k].last_si = steps->column[k].most_si = NAN;
        for (size_t i = 0; i < STEPS_ALIKE; i++)
            steps->column[k].least_si[i] = INFINITY;
    }
}

static void take_change(struct steps_column *to, double change_si)
{
    size_t i = STEPS_ALIKE;
    if (to->changes < STEPS_ENOUGH)
        to->changes++;
    for (; i > 0 && to->least_si[i - 1] > change_si; i--)
        if (i < STEPS_ALIKE)
            to->least_si[i] = to->least_si[i - 1];
    if (i < STEPS_ALIKE)
        to->least_si[i] = change_si;
}

void steps_row(struct steps *steps, const double *value_si)
{
    for (size_t k = 0; k < steps->plan->n_columns; k++) {
        struct steps_column *to = &steps->column[k];
        double change_si = fabs(value_si[k] - to->last_si);
        if (change_si > 0.0)
            take_change(to, change_si);
        to->last_si = value_si[k];
        to->most_si = fmax(to->most_si, value_si[k]); /* of a number and NaN it is the number */
    }
}

/* Its runs are judged by its steps, and nobody stated these. */
static bool matters(const struct log_column *column)
{
    const struct screen_limits *limits = screen_limits(column->channel);
    return (limits->fine_si > 0.0 || limits->fine_share > 0.0) && column->screening.stuck_us == 0 &&
           !(column->screening.resolution_si > 0.0) && !log_column_counts(column);
}

bool steps_known(const struct steps *steps)
{
    for (size_t k = 0; k < steps->plan->n_columns; k++)
        if (matters(&steps->plan->columns[k]) && steps->column[k].changes < STEPS_ENOUGH)
            return false;
    return true;
}

double steps_least_si(const struct steps *steps, size_t k)
{
    return steps->column[k].least_si[STEPS_ALIKE - 1];
}
