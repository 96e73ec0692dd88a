#include "study/paired_errors.h"

#include "point/reading_errors.h"
#include "study/point_shift.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const size_t nowhere = (size_t)-1;

/* For each reading error of the first test the place in the other's list that holds the very same
 * readings; `nowhere` if none does. */
static size_t *find_partners(const struct tested *a, const struct tested *b, size_t *n,
                             struct faults *faults)
{
    const struct error_registry *of_a = &a->reduction->setup.errors;
    const struct error_registry *of_b = &b->reduction->setup.errors;
    size_t noises = reading_errors_count(of_a) - of_a->n; /* a channel each, and the drift */
    *n = noises + of_a->n;
    size_t *partner = malloc(*n * sizeof *partner);
    if (partner == NULL) {
        fault_memory(faults);
        return NULL;
    }
    for (size_t k = 0; k < *n; k++) {
        partner[k] = nowhere;
        if (k < CH_LOGGED && shared_channel(a, b, (enum channel)k))
            partner[k] = k;
        for (size_t m = 0; k >= noises && m < of_b->n && partner[k] == nowhere; m++)
            if (shared_judge(a, &of_a->rows[k - noises], b, &of_b->rows[m]) == SHARED_COLUMN)
                partner[k] = noises + m;
    }
    return partner;
}

/* The shift of a point by each reading error of its list; 0 where there is none.
 * Out: variance what they add up to */
static bool reading_shifts(const struct tested *t, size_t i, double *shift, double *variance,
                           struct faults *faults)
{
    const struct error_registry *registry = &t->reduction->setup.errors;
    const struct means *means = t->points[t->e.index[i]].means;
    struct error_source row;
    *variance = 0;
    for (size_t k = 0; k < reading_errors_count(registry); k++) {
        shift[k] = 0;
        if (reading_error(means, registry, k, &row) && !point_shift(t, i, &row, &shift[k], faults))
            return false;
        *variance += shift[k] * shift[k];
    }
    if (means->reduced) {
        double slope = fit_form_slope(t->e.form, t->e.curve.coef, &t->e.used[i].at);
        *variance += means->u_eta * means->u_eta + slope * slope * means->u_x * means->u_x;
    }
    return true;
}

static bool own_of_all(struct paired_job *job, const size_t *partner, size_t n_partner,
                       double *of_a, double *of_b)
{
    for (size_t i = 0; i < job->n; i++) {
        const struct pair *pair = job->out->points[i].pair;
        double first, other;
        if (!reading_shifts(job->a, pair->a, of_a, &first, job->faults) ||
            !reading_shifts(job->b, pair->b, of_b, &other, job->faults))
            return false;
        job->own[i] = first + other;
        for (size_t k = 0; k < n_partner; k++)
            if (partner[k] != nowhere)
                job->own[i] -= 2 * pair->common * of_a[k] * of_b[partner[k]];
        job->equal |= !(job->own[i] > 1e-12 * (first + other)); /* only rounding is left */
    }
    return true;
}

bool paired_own(struct paired_job *job)
{
    size_t n;
    size_t *partner = find_partners(job->a, job->b, &n, job->faults);
    double *of_a = calloc(reading_errors_count(&job->a->reduction->setup.errors), sizeof *of_a);
    double *of_b = calloc(reading_errors_count(&job->b->reduction->setup.errors), sizeof *of_b);
    bool good = partner != NULL && ((of_a != NULL && of_b != NULL) || fault_memory(job->faults));
    good = good && own_of_all(job, partner, n, of_a, of_b);
    job->equal |= job->a->e.curve.equal_weights || job->b->e.curve.equal_weights;
    for (size_t i = 0; job->equal && i < job->n; i++)
        job->own[i] = 1;
    free(partner);
    free(of_a);
    free(of_b);
    return good;
}

/* How a row moves the curve along which a pair was brought; NULL: it does not (a session's moves it
 * by less than the pair itself, and is left to the bound of paired.c). */
static const double *curve_shift(const struct efficiency *e, const struct error_source *row)
{
    for (size_t k = 0; row != NULL && row->kind == ERROR_CALIBRATION && k < e->n_shares; k++)
        if (e->shares[k].row == row)
            return e->shares[k].d;
    return NULL;
}

static bool effect_of(const struct tested *t, size_t i, const double *bend,
                      const struct error_source *row, double *shift, struct faults *faults)
{
    const double *d = curve_shift(&t->e, row);
    *shift = 0;
    if (row == NULL)
        return true;
    if (!point_shift(t, i, row, shift, faults))
        return false;
    if (d != NULL)
        *shift += fit_dot(bend, d, t->e.form->n_coef);
    return true;
}

bool paired_effects(struct paired_job *job)
{
    for (size_t k = 0; k < job->n_rows; k++)
        for (size_t i = 0; i < job->n; i++) {
            const struct pair *pair = job->out->points[i].pair;
            double of_a, of_b;
            if (!effect_of(job->a, pair->a, &job->bend_a[i * EFFICIENCY_COEFS], job->rows[k].a,
                           &of_a, job->faults) ||
                !effect_of(job->b, pair->b, &job->bend_b[i * EFFICIENCY_COEFS], job->rows[k].b,
                           &of_b, job->faults))
                return false;
            job->effect[k * job->n + i] = of_a - of_b;
        }
    return true;
}

/* How much each collector loses to a wind may be anything from none to twice the usual. Of two such
 * unknowns the root mean square of one is most/sqrt 3, their mean product most most'/4: they
 * correlate by 3/4, whatever else is thought of them. The sky's part is that of the surfaces as
 * stated. */
void paired_surroundings(struct paired_job *job)
{
    const double correlation = 0.75;
    double of_a[EFFICIENCY_COEFS], of_b[EFFICIENCY_COEFS], both[EFFICIENCY_COEFS];
    for (size_t i = 0; i < job->n; i++)
        job->scratch[i] = point_shift_wind(job->a, job->out->points[i].pair->a);
    paired_shift(job, job->scratch, of_a);
    for (size_t i = 0; i < job->n; i++)
        job->scratch[i] = point_shift_wind(job->b, job->out->points[i].pair->b);
    paired_shift(job, job->scratch, of_b);
    for (size_t j = 0; j < job->p; j++)
        both[j] = of_a[j] - of_b[j];
    double *common = job->out->common;
    for (size_t j = 0; j < job->p; j++)
        for (size_t k = 0; k < job->p; k++)
            common[j * job->p + k] += correlation * both[j] * both[k] +
                                      (1 - correlation) * (of_a[j] * of_a[k] + of_b[j] * of_b[k]);
    for (size_t i = 0; i < job->n; i++)
        job->scratch[i] = point_shift_sky(job->a, job->out->points[i].pair->a) -
                          point_shift_sky(job->b, job->out->points[i].pair->b);
    paired_add(job, job->scratch);
}
