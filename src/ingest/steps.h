/* Steps: how fine and how high the readings of each column are, by the first rows of a log, all of
 * them looked at: what is stuck from the very first row on can only be told by what comes after it
 * (ingest/screen.h).
 */
#ifndef INGEST_STEPS_H
#define INGEST_STEPS_H

#include "ingest/log_plan.h"

#include <stdbool.h>
#include <stddef.h>

/* A column's steps are as fine as so many of its changes are at least: one alone may be an average
 * on its way from one step of a coarse sensor to the next. So many changes are enough to know. Our
 * own figures. */
enum { STEPS_ALIKE = 3, STEPS_ENOUGH = 16 };

struct steps {
    const struct log_plan *plan; /* borrowed */
    struct steps_column {
        double last_si; /* NaN before the first, and after a row without a good reading */
        double least_si[STEPS_ALIKE]; /* rising; INFINITY where there is none */
        double most_si;               /* NaN before the first */
        unsigned changes;             /* up to STEPS_ENOUGH */
    } column[CH_LOGGED];
};

void steps_init(struct steps *steps, const struct log_plan *plan);

/* The next row. In: value_si  of the plan's columns; NaN: not good */
void steps_row(struct steps *steps, const double *value_si);

/* Whether every column whose steps matter has changed often enough. */
bool steps_known(const struct steps *steps);

/* A change of the plan's column k as small as STEPS_ALIKE of them are; INFINITY: there were fewer.
 */
double steps_least_si(const struct steps *steps, size_t k);

#endif
