#include "run/efficiency_rank.h"

#include "fit/combine.h"

#include <math.h>
#include <stdlib.h>

const char *rank_kind_word(enum rank_kind kind)
{
    static const char *const words[] = {[RANK_CALIBRATION] = "calibration",
                                        [RANK_SESSION] = "session",
                                        [RANK_READING] = "reading",
                                        [RANK_FORM] = "form"};
    return words[kind];
}

size_t rank_most(const struct efficiency *e)
{
    return e->n_shares + 2 + EFFICIENCY_EXTRAS;
}

/* Variance by a session row (NULL: by all of them), one unknown a session. */
static double daily_variance(const struct efficiency *e, const double *t,
                             const struct error_source *row)
{
    double sum = 0;
    for (size_t k = 0; k < e->n_daily; k++) {
        double d = row == NULL || e->daily[k].row == row
                       ? fit_dot(t, e->daily[k].d, e->form->n_coef)
                       : 0;
        sum += d * d;
    }
    return sum;
}

static double share_at(const struct efficiency *e, const double *t,
                       const struct efficiency_share *share)
{
    if (share->row->kind == ERROR_SESSION)
        return sqrt(daily_variance(e, t, share->row));
    return fit_dot(t, share->d, e->form->n_coef);
}

/* The days' own scatter is what the sessions hold beside the registry's rows. */
static double extra_at(const struct efficiency *e, const double *t,
                       const struct efficiency_extra *extra)
{
    if (!extra->session)
        return fit_dot(t, extra->d, e->form->n_coef);
    return sqrt(fmax(0, fit_variance(t, e->session, e->form->n_coef) - daily_variance(e, t, NULL)));
}

static bool any(const double *d, size_t n)
{
    for (size_t j = 0; j < n; j++)
        if (d[j] != 0)
            return true;
    return false;
}

size_t rank_sources(const struct efficiency *e, const double *t, struct rank_source *sources)
{
    size_t p = e->form->n_coef, n = 0;
    sources[n++] = (struct rank_source){RANK_READING, "readings of the windows", "reading",
                                        "more windows average it down",
                                        sqrt(fit_variance(t, e->reading, p))};
    for (size_t k = 0; k < e->n_shares; k++) {
        const struct error_source *row = e->shares[k].row;
        sources[n++] = (struct rank_source){
            row->kind == ERROR_SESSION ? RANK_SESSION : RANK_CALIBRATION, row->label, row->id,
            row->cure, share_at(e, t, &e->shares[k])};
    }
    for (size_t k = 0; k < e->n_extras; k++)
        sources[n++] = (struct rank_source){e->extras[k].session ? RANK_SESSION : RANK_FORM,
                                            e->extras[k].label, e->extras[k].id, e->extras[k].cure,
                                            extra_at(e, t, &e->extras[k])};
    if (any(e->d_curvature, p))
        sources[n++] = (struct rank_source){RANK_FORM, "curvature left out", "curvature",
                                            "points at the coldest and warmest inlet",
                                            fit_dot(t, e->d_curvature, p)};
    return n;
}

static int by_size(const void *a, const void *b)
{
    double x = fabs(((const struct rank_source *)a)->u);
    double y = fabs(((const struct rank_source *)b)->u);
    return (x < y) - (x > y);
}

void rank_sort(struct rank_source *sources, size_t n)
{
    qsort(sources, n, sizeof *sources, by_size);
}
