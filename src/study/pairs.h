/* Pairs: windows of two tests at the same time. Sun, sky and wind were then the same over both
 * collectors, and so were the readings of what both logs share.
 *
 * Two windows make a pair when the time that both hold is at least three quarters of the longer one
 * (no window can then have two partners, as windows of one test do not overlap). A pair is alike
 * when the two fluids were within DESIGN_LEVEL_WIDTH_K of each other above the air; the others are
 * shown and not used.
 *
 * Whether the difference is read from the pairs is settled by times and temperatures alone, before
 * any efficiency is looked at: PAIRS_LEAST pairs that are alike, which hold the form of both curves
 * and reach as far as both tests do.
 */
#ifndef STUDY_PAIRS_H
#define STUDY_PAIRS_H

#include "base/faults.h"
#include "fit/form.h"
#include "run/design.h"
#include "study/tested.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { PAIRS_LEAST = 6 };
#define PAIRS_OVERLAP 0.75 /* our own figure: mostly the same sun, and one partner at most */

enum pairs_path {
    PAIRS_TAKEN,
    PAIRS_STATED,   /* a publication has no windows */
    PAIRS_UNTIMED,  /* points of one test without their times */
    PAIRS_APART,    /* no two windows at the same time */
    PAIRS_FEW,      /* fewer than PAIRS_LEAST that are alike */
    PAIRS_FORM,     /* their temperatures (or winds) hold less than the curves do */
    PAIRS_REACH     /* they do not reach as far as both tests do */
};

struct pair {
    size_t a, b;             /* which of the fitted points of each test */
    int64_t start_us, end_us; /* of the time that both hold */
    double overlap;          /* share of the longer window */
    double common;           /* correlation of two means of one noise over the two windows */
    struct fit_condition at; /* between both: both are brought there */
    double apart_K;          /* temperature above the air, first less other */
    bool alike;
};

struct pairs {
    struct pair *items; /* owned; in the order of time */
    size_t n, n_alike;
    enum pairs_path path;
    const struct fit_form *form; /* of the difference; NULL unless taken */
    bool unbent;   /* a straight line because no more can be seen: the curvature left out counts */
    struct design design; /* of the first test's points in the pairs that are alike */
};

/* In:      x_low, x_high  range that both were tested over, m2 K/W
 * Out:     pairs          pairs_free is due whatever comes back
 * Returns: false only when memory is short */
bool pairs_find(struct pairs *pairs, const struct tested *a, const struct tested *b, double x_low,
                double x_high, struct faults *faults);
void pairs_free(struct pairs *pairs); /* safe twice, and on {0} */

/* Why the path was (not) taken, to follow "it was not read from pairs: "; "" where it was. */
const char *pairs_path_words(const struct pairs *pairs, char *out, size_t size);

#endif
