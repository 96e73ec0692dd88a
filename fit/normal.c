#include "fit/normal.h"

#include <math.h>

bool fit_normal_reduce(struct fit_normal *normal, size_t n)
{
    for (size_t j = 0; j < n; j++) {
        double *row = normal->a[j];
        double whole = row[j];
        for (size_t k = 0; k < j; k++) {
            for (size_t i = 0; i < k; i++)
                row[k] -= row[i] * normal->a[k][i];
            row[k] /= normal->a[k][k];
            row[j] -= row[k] * row[k];
        }
        if (!(row[j] > 1e-13 * whole))
            return false;
        row[j] = sqrt(row[j]);
        for (size_t k = 0; k < j; k++)
            normal->b[j] -= row[k] * normal->b[k];
        normal->b[j] /= row[j];
    }
    return true;
}

double fit_normal_length(const struct fit_normal *normal, size_t n)
{
    double sum = 0;
    for (size_t j = 0; j < n; j++)
        sum += normal->b[j] * normal->b[j];
    return sqrt(sum);
}

void fit_normal_walk(struct fit_normal *normal, size_t n, double *coef)
{
    for (size_t j = n; j-- > 0;) {
        for (size_t k = j + 1; k < n; k++)
            normal->b[j] -= normal->a[k][j] * normal->b[k];
        normal->b[j] /= normal->a[j][j];
        coef[j] += normal->b[j];
    }
}
