/* Least squares with nuisance unknowns: against fit_linear without them, and against generalised
 * least squares with V itself inverted (GSL's LU decomposition). */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "aid_near.h"
#include "fit/linear.h"
#include "fit/nuisance.h"

#include <gsl/gsl_blas.h>
#include <gsl/gsl_linalg.h>
#include <math.h>

enum { N = 11, P = 3, K = 2 };

struct set {
    double x[N * P], y[N], v[N], s[N * K];
};

static void make(struct set *set)
{
    for (int i = 0; i < N; i++) {
        double at = 0.0037 + 0.0061 * i;
        set->x[i * P] = 1;
        set->x[i * P + 1] = -at;
        set->x[i * P + 2] = -(913.0 + 17 * (i % 3)) * at * at;
        set->y[i] = 0.0173 - 0.41 * at + 0.0031 * sin(2.7 * i);
        set->v[i] = 1e-6 * (7.3 + 1.9 * (i % 4));
        set->s[i * K] = i < 5 ? 0.0217 : -0.0203;  /* changes sides */
        set->s[i * K + 1] = 0.0011 * (i % 2 + 1); /* does not */
    }
}

static void without_nuisance_it_is_the_weighted_fit(void **state)
{
    (void)state;
    struct set set;
    double map[P * N], w[N];
    struct fit_linear linear;
    make(&set);
    for (int i = 0; i < N; i++)
        w[i] = 1 / set.v[i];
    assert_int_equal(fit_nuisance(set.x, set.v, N, P, NULL, 0, map), FIT_OK);
    assert_int_equal(fit_linear(set.x, set.y, w, N, P, &linear), FIT_OK);
    for (int j = 0; j < P; j++) {
        double sum = 0, u2 = 0;
        for (int i = 0; i < N; i++) {
            sum += map[j * N + i] * set.y[i];
            u2 += map[j * N + i] * map[j * N + i] * set.v[i];
        }
        aid_near_relative("coefficient", sum, linear.coef[j], 1e-10);
        aid_near_relative("variance", u2, linear.cov_unit[j * P + j], 1e-10);
    }
}

/* b = (X' V^-1 X)^-1 X' V^-1 y, with V = diag(v) + S S'. */
static void by_inverse(const struct set *set, gsl_vector *b)
{
    gsl_matrix *v = gsl_matrix_calloc(N, N), *inverse = gsl_matrix_alloc(N, N);
    gsl_matrix *vx = gsl_matrix_alloc(N, P), *normal = gsl_matrix_alloc(P, P);
    gsl_vector *right = gsl_vector_alloc(P);
    gsl_permutation *order = gsl_permutation_alloc(N), *order_p = gsl_permutation_alloc(P);
    gsl_matrix_const_view x = gsl_matrix_const_view_array(set->x, N, P);
    gsl_vector_const_view y = gsl_vector_const_view_array(set->y, N);
    int sign;
    for (size_t i = 0; i < N; i++)
        for (size_t j = 0; j < N; j++) {
            double sum = i == j ? set->v[i] : 0;
            for (size_t k = 0; k < K; k++)
                sum += set->s[i * K + k] * set->s[j * K + k];
            gsl_matrix_set(v, i, j, sum);
        }
    gsl_linalg_LU_decomp(v, order, &sign);
    gsl_linalg_LU_invert(v, order, inverse);
    gsl_blas_dgemm(CblasNoTrans, CblasNoTrans, 1, inverse, &x.matrix, 0, vx);
    gsl_blas_dgemm(CblasTrans, CblasNoTrans, 1, &x.matrix, vx, 0, normal);
    gsl_blas_dgemv(CblasTrans, 1, vx, &y.vector, 0, right);
    gsl_linalg_LU_decomp(normal, order_p, &sign);
    gsl_linalg_LU_solve(normal, order_p, right, b);
    gsl_matrix_free(v);
    gsl_matrix_free(inverse);
    gsl_matrix_free(vx);
    gsl_matrix_free(normal);
    gsl_vector_free(right);
    gsl_permutation_free(order);
    gsl_permutation_free(order_p);
}

static void with_nuisance_it_is_generalised_least_squares(void **state)
{
    (void)state;
    struct set set;
    double map[(P + K) * N];
    make(&set);
    gsl_vector *b = gsl_vector_alloc(P);
    by_inverse(&set, b);
    assert_int_equal(fit_nuisance(set.x, set.v, N, P, set.s, K, map), FIT_OK);
    for (size_t j = 0; j < P; j++) {
        double sum = 0;
        for (size_t i = 0; i < N; i++)
            sum += map[j * N + i] * set.y[i];
        aid_near_relative("coefficient", sum, gsl_vector_get(b, j), 1e-8);
    }
    gsl_vector_free(b);
}

/* An error of twenty standard uncertainties of a reading that changes sides half-way: plain weights
 * let a tenth of it and more into the slope, here next to nothing comes through. */
static void what_changes_sides_hardly_moves_a_coefficient(void **state)
{
    (void)state;
    struct set set;
    double plain[P * N], map[(P + K) * N];
    make(&set);
    assert_int_equal(fit_nuisance(set.x, set.v, N, P, NULL, 0, plain), FIT_OK);
    assert_int_equal(fit_nuisance(set.x, set.v, N, P, set.s, K, map), FIT_OK);
    for (int j = 0; j < P; j++) {
        double by_plain = 0, by = 0;
        for (int i = 0; i < N; i++) {
            by_plain += plain[j * N + i] * set.s[i * K];
            by += map[j * N + i] * set.s[i * K];
        }
        assert_true(fabs(by) < 0.15 * fabs(by_plain));
    }
}

static void what_cannot_be_solved_is_refused(void **state)
{
    (void)state;
    struct set set;
    double map[(P + K) * N];
    make(&set);
    assert_int_equal(fit_nuisance(set.x, set.v, P - 1, P, NULL, 0, map), FIT_TOO_FEW);
    set.v[4] = 0;
    assert_int_equal(fit_nuisance(set.x, set.v, N, P, NULL, 0, map), FIT_RANGE);
    make(&set);
    set.x[7] = NAN;
    assert_int_equal(fit_nuisance(set.x, set.v, N, P, NULL, 0, map), FIT_NOT_FINITE);
    make(&set);
    for (int i = 0; i < N; i++)
        set.x[i * P + 2] = 3.7 * set.x[i * P + 1];
    assert_int_equal(fit_nuisance(set.x, set.v, N, P, NULL, 0, map), FIT_RANK);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(without_nuisance_it_is_the_weighted_fit),
        cmocka_unit_test(with_nuisance_it_is_generalised_least_squares),
        cmocka_unit_test(what_changes_sides_hardly_moves_a_coefficient),
        cmocka_unit_test(what_cannot_be_solved_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
