/* A collector as tested: one description reduced to its first curve, for studies of several.
 */
#ifndef STUDY_TESTED_H
#define STUDY_TESTED_H

#include "base/faults.h"
#include "base/progress.h"
#include "point/point.h"
#include "run/efficiency.h"
#include "run/reduction.h"

#include <stdbool.h>
#include <stddef.h>

enum { TESTED_NAME_SIZE = 96 };

struct tested {
    char name[TESTED_NAME_SIZE]; /* of the collector, or of its file */
    struct reduction *reduction; /* owned */
    const struct run_section *run; /* the first of kind efficiency */
    struct point_setup setup;
    struct point *points; /* owned, one a mean */
    struct efficiency e;
};

/* What all collectors of a study are brought to. */
struct tested_basis {
    enum area_reference area;
    enum temperature_basis temperature;
};

/* Reads a test: description, then its log or points.
 * In:      path      of the description
 *          progress  NULL: nobody is told
 * Out:     tested    tested_free is due whatever comes back
 * Returns: false with input or machine faults, or an input fault if no run asks for a curve */
bool tested_read(struct tested *tested, const char *path, const struct progress *progress,
                 struct faults *faults);

/* Whether its efficiency can be given for an area. */
bool tested_has_area(const struct tested *tested, enum area_reference area);

/* Forms the points on the basis and fits the curve.
 * Returns: false with a data fault (no window, points that hold no curve) or a machine fault */
bool tested_fit(struct tested *tested, const struct tested_basis *basis, struct faults *faults);

void tested_free(struct tested *tested); /* safe twice, and on {0} */

#endif
