/* How often intervals called 95 % hold the truth: what a test is and how it is drawn (study.c),
 * what is counted of it (count.c), the cells and the tables (main.c).
 *
 * A test is two collectors side by side, under one sun sensor and one thermometer of the air, each
 * with a loop of its own. A is also measured off the normal. Everything is invented.
 */
#ifndef COVERAGE_STUDY_H
#define COVERAGE_STUDY_H

#include "base/randoms.h"
#include "study/tested.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { POINTS_MOST = 40, ROWS = 10, DAYS = 3, PLACES = 3 };

/* With every error as what it is; with calibration as fresh for each point; plain least squares. */
enum method { PROGRAM, FRESH, PLAIN, METHODS };

/* What is counted. */
enum { AT_PLACES = 3, AT_K50 = AT_PLACES + PLACES, AT_DIFFERENCE, QUANTITIES };

struct cell {
    const char *name, *form;
    size_t n, levels; /* points near the normal, and as many off it */
    bool cheap;
    double times; /* true scatter of readings / stated */
    bool sessions;
};

/* A flat plate; a2 counts only where more than two temperatures are measured. */
struct plate {
    double eta0, a1, a2, b0;
};

struct side {
    struct plate is;
    size_t n, total; /* points near the normal; with those off it */
    struct reduction *reductions[2]; /* hold the registry of PROGRAM and of FRESH; owned */
    size_t row_at[ROWS];             /* of each source in both; ROWS: not there */
    struct means exact[2 * POINTS_MOST], means[2 * POINTS_MOST];
    struct point points[2 * POINTS_MOST];
    double drawn[ROWS], drawn_on[DAYS][ROWS]; /* in standard uncertainties */
    struct point_setup setup;
    struct efficiency e;
};

struct study {
    struct fluid fluid;
    struct side a, b;
    struct randoms randoms;
    struct faults faults;
    double x[PLACES];
    double truth[QUANTITIES];
    uint64_t tests, seen;
    size_t held[METHODS][QUANTITIES];
    double *off[QUANTITIES]; /* |found - true| over the program's half-width, one a test; owned */
};

/* Ends the program with status 5 where something could not be done. */
void study_need(bool good, const struct study *study);

bool study_init(struct study *study, uint64_t tests);
void study_free(struct study *study);

/* Both collectors as they are in a cell, and what is true of them. */
void study_set_cell(struct study *study, const struct cell *cell);

/* The instruments of test number `test`, and what they show. */
void study_draw(struct study *study, const struct cell *cell, uint64_t stream, uint64_t test);

/* Fits what they show in each of the ways, and counts. */
void study_count(struct study *study, const struct cell *cell);

/* Half of the program's interval over the one that would have held the truth in 95 % of these
 * tests. */
double study_width_ratio(const struct study *study, size_t what);

#define STUDY_AREA_M2 2.05
#define STUDY_K_RAD (50 * 0.017453292519943295)
#define STUDY_NEAR_RAD (20 * 0.017453292519943295)
#define STUDY_G_W_M2 900.0
#define STUDY_DIFFERENCE_X 0.033

#endif
