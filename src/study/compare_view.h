/* A comparison on its way into a document: what its parts look at.
 */
#ifndef STUDY_COMPARE_VIEW_H
#define STUDY_COMPARE_VIEW_H

#include "base/faults.h"
#include "result/document.h"
#include "study/difference.h"
#include "study/tested.h"

#include <stdbool.h>
#include <stddef.h>

struct compare_view {
    const struct tested *tests; /* n; the others are held against the first */
    size_t n;
    const struct difference *differences; /* n - 1: the first less the others */
    struct tested_basis basis;
    double g_W_m2; /* at which all is said */
};

/* Each returns false only when memory is short. */

/* Sentences: each pair at operating points, where the curves cross, what is shared, the basis.
 * (compare_answers.c) */
bool compare_answers(const struct compare_view *view, struct document *doc, struct faults *faults);

/* A published curve: where it stands, how it was brought to the basis, what it does not state.
 * (compare_stated.c) */
bool compare_stated(const struct compare_view *view, const struct tested *tested,
                    struct document *doc, struct faults *faults);

/* Windows at the same times: whether the difference is read from them and why, their table.
 * (compare_pairs.c) */
bool compare_pairs(const struct compare_view *view, struct document *doc, struct faults *faults);

/* Instruments that changed places between the first and another: when, what was solved of them.
 * (compare_swaps.c) */
bool compare_swaps(const struct compare_view *view, struct document *doc, struct faults *faults);

/* Operating points, coefficients, what is shared. (compare_tables.c) */
bool compare_tables(const struct compare_view *view, struct document *doc, struct faults *faults);

/* The curves with their bands, the differences below. (compare_tables.c) */
bool compare_figure(const struct compare_view *view, struct document *doc, struct faults *faults);

/* Operating points: tens of kelvin above the air within the range of a pair (its lower end where it
 * holds no ten). Out: K, ascending. Returns: how many, 0 if there is no common range. */
enum { COMPARE_POINTS = 24 };
size_t compare_points(const struct compare_view *view, const struct difference *difference,
                      double K[COMPARE_POINTS]);

#endif
