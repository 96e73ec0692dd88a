#include "study/paired_solved.h"

#include <string.h>

static bool is_solved(const struct shared_row *row)
{
    const struct error_source *any = row->a != NULL ? row->a : row->b;
    return any->kind == ERROR_CALIBRATION && any->bounded;
}

size_t paired_count_solved(const struct paired_job *job)
{
    size_t k = 0;
    for (size_t i = 0; i < job->n_rows; i++)
        k += is_solved(&job->rows[i]);
    return k;
}

/* Which rows are solved with the difference. Without weights nothing says how far they may be. */
void paired_choose_solved(struct paired_job *job)
{
    size_t k = 0;
    job->out->n_solved = job->equal ? 0 : paired_count_solved(job);
    for (size_t i = 0; !job->equal && i < job->n_rows; i++) {
        if (!is_solved(&job->rows[i]))
            continue;
        job->out->solved[k].row = &job->rows[i];
        for (size_t m = 0; m < job->n; m++)
            job->solved_by[m * job->out->n_solved + k] = job->effect[i * job->n + m];
        k++;
    }
}

/* How far off the solved calibrations may be by row r, which moves the differences so. A row that
 * is itself solved comes out less than whole. */
static void add_row(struct paired_job *job, size_t r, const double *effect)
{
    size_t k = job->out->n_solved;
    for (size_t j = 0; j < k; j++)
        for (size_t m = 0; m < k; m++) {
            double by_j = paired_dot(job, job->p + j, effect);
            double by_m = paired_dot(job, job->p + m, effect);
            by_j -= job->out->solved[j].row == &job->rows[r];
            by_m -= job->out->solved[m].row == &job->rows[r];
            job->out->solved_cov[j * k + m] += by_j * by_m;
        }
}

static void add_readings(struct paired_job *job)
{
    size_t k = job->out->n_solved;
    for (size_t j = 0; j < k; j++)
        for (size_t m = 0; m < k; m++)
            for (size_t i = 0; i < job->n; i++)
                job->out->solved_cov[j * k + m] += job->out->scale_factor * job->own[i] *
                                                   job->map[(job->p + j) * job->n + i] *
                                                   job->map[(job->p + m) * job->n + i];
}

void paired_add_solved(struct paired_job *job)
{
    add_readings(job);
    for (size_t r = 0; r < job->n_rows; r++) {
        const double *effect = job->effect + r * job->n;
        if (!paired_is_session(&job->rows[r]))
            add_row(job, r, effect);
        for (size_t first = 0; paired_is_session(&job->rows[r]) && first < job->n;) {
            int64_t session = job->session[first];
            memset(job->scratch, 0, job->n * sizeof *job->scratch);
            for (; first < job->n && job->session[first] == session; first++)
                job->scratch[first] = effect[first];
            add_row(job, r, job->scratch);
        }
    }
}
