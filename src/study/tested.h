/* A collector as tested: one description reduced to its first curve, or a curve that a description
 * states out of a publication; for studies of several.
 */
#ifndef STUDY_TESTED_H
#define STUDY_TESTED_H

#include "base/faults.h"
#include "base/progress.h"
#include "point/point.h"
#include "run/efficiency.h"
#include "run/reduction.h"
#include "study/stated_curve.h"

#include <stdbool.h>
#include <stddef.h>

enum { TESTED_NAME_SIZE = 96 };

struct tested {
    char name[TESTED_NAME_SIZE]; /* of the collector, or of its file */
    struct reduction *reduction; /* owned */
    const struct run_section *run; /* the first that gives a curve */
    struct point_setup setup;
    struct point *points; /* owned, one a mean */
    struct efficiency e;
    bool is_stated; /* not tested here: the curve of a publication, without points and registry */
    struct curve_section section; /* as stated */
    struct stated_curve stated;   /* on the basis of the study */
};

/* What all collectors of a study are brought to. */
struct tested_basis {
    enum area_reference area;
    enum temperature_basis temperature;
    double g_W_m2; /* at which all is said: here a2 is brought from one temperature to the other */
    double x_low, x_high; /* range of a stated curve that does not say its own */
};

/* How descriptions are read. */
struct tested_how {
    const struct progress *progress; /* NULL: nobody is told */
    bool skip_bad;                   /* go on without faulty rows of points tables */
};

/* Reads what a description holds: its test (description, then its log or points), and every curve
 * that it states.
 * In:      path  of the description
 *          most  room in tests
 * Out:     tests, n  those found are put behind the n there are; tested_free is due for each of the n,
 *                    whatever comes back
 * Returns: false with input or machine faults: also where no run asks for a curve, or there is no room */
bool tested_read(struct tested *tests, size_t most, size_t *n, const char *path,
                 const struct tested_how *how, struct faults *faults);

/* Whether its efficiency can be given for an area. */
bool tested_has_area(const struct tested *tested, enum area_reference area);

/* Forms the points on the basis and fits the curve; or brings a stated one there.
 * Returns: false with a data fault (no window, points that hold no curve), an input fault (a stated
 * curve that cannot be brought there) or a machine fault */
bool tested_fit(struct tested *tested, const struct tested_basis *basis, struct faults *faults);

void tested_free(struct tested *tested); /* safe twice, and on {0} */

#endif
