/* One point worked through: the steps from means to efficiency and reduced temperature, each number
 * rounded to what is printed, each step computed from the printed numbers. A pocket calculator that
 * is fed with them gives the same digits.
 *
 * It is not a second way to a number: the steps are those that point_evaluate took (point_steps),
 * and the digits are made as many as are needed for the end to agree with it.
 */
#ifndef POINT_WORKED_H
#define POINT_WORKED_H

#include "point/point.h"

#include <stdbool.h>
#include <stddef.h>

enum { WORKED_ROWS = 32, WORKED_TEXT = 32, WORKED_HOW = 72, WORKED_PLACES = 4 };

struct worked_row {
    char name[WORKED_TEXT]; /* UTF-8: "mass flow ṁ" */
    char how[WORKED_HOW];   /* "ρ V / 60,000", of symbols of the rows above; or "mean", "stated" */
    const char *unit;       /* ASCII, "" for a plain number */
    bool given;             /* not computed from rows above */
    double value;           /* as printed, and what later rows used; NaN where it has none */
    double moved;           /* the same with the shifts */
    int places;             /* digits after the point; -1: `digits` significant ones */
    int digits;
};

struct worked {
    struct worked_row rows[WORKED_ROWS];
    size_t n;
    bool moved;    /* whether there is anything in the column `moved` */
    bool closes;   /* efficiency and reduced temperature are those of point_evaluate to
                      WORKED_PLACES places, moved ones too */
    double eta, x; /* at the end of the chain */
    double eta_moved;
};

/* Works a point through.
 * In:      means     not reduced
 *          given     what the temperatures and so on are: "mean" or "typed"
 *          shifts    of the moved column; NULL: none
 * Out:     worked
 * Returns: POINT_OK, or why the point (or the moved one) could not be formed */
enum point_status worked_point(const struct means *means, const struct point_setup *setup,
                               const char *given, const struct shifts *shifts,
                               struct worked *worked);

/* A row's number as it is to be printed, ASCII: "0.04012"; "" for NaN. size >= 32. Returns: out. */
const char *worked_number(const struct worked_row *row, double value, char *out, size_t size);

#endif
