#include "study/paired_job.h"

#include "fit/combine.h"

bool paired_is_session(const struct shared_row *row)
{
    return (row->a != NULL ? row->a : row->b)->kind == ERROR_SESSION;
}

double paired_dot(const struct paired_job *job, size_t j, const double *shift)
{
    return fit_dot(job->map + j * job->n, shift, job->n);
}

void paired_shift(const struct paired_job *job, const double *shift, double *d)
{
    for (size_t j = 0; j < job->p; j++)
        d[j] = paired_dot(job, j, shift);
}

void paired_add(struct paired_job *job, const double *shift)
{
    double d[EFFICIENCY_COEFS];
    paired_shift(job, shift, d);
    fit_cov_add_outer(job->out->common, job->p, d);
}
