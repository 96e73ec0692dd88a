/* Measure: what stands in one column of a sample.
 */
#ifndef DRAFT_MEASURE_H
#define DRAFT_MEASURE_H

#include "draft/guess.h"
#include "draft/sample.h"

#include <stddef.h>

struct measure {
    size_t n;       /* numbers */
    size_t missing; /* empty, NAN or NA */
    size_t odd;     /* neither */
    size_t odd_row; /* row of the first of these */
    size_t outside; /* numbers that the guessed channel cannot have; 0 while no unit is known */
    double first;
    double least;
    double most;
};

void measure_column(const struct sample *sample, size_t column, const struct guess *guess,
                    struct measure *measure);

#endif
