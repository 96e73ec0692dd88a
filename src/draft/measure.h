/* Measure: what stands in one column of a sample.
 *
 * A number that stands far from all others, exactly repeated, or that loggers are known to write
 * for "no reading", is set apart as a candidate for an error code and counts in nothing else.
 */
#ifndef DRAFT_MEASURE_H
#define DRAFT_MEASURE_H

#include "draft/guess.h"
#include "draft/sample.h"

#include <stddef.h>

enum { MEASURE_CODES = 4, MEASURE_MARKER_SIZE = 12 };

struct measure_code {
    double value;
    size_t n;
    size_t row;        /* of the first */
    const char *known; /* what usually writes it; NULL: only its being far from the rest speaks */
};

struct measure {
    size_t n;                         /* numbers, error codes left out */
    size_t missing;                   /* empty, NAN or NA: "no reading" without being told */
    size_t marked;                    /* other texts that mean "no reading" */
    char marker[MEASURE_MARKER_SIZE]; /* the first of them */
    size_t odd;                       /* text */
    size_t odd_row;                   /* row of the first of these */
    size_t thousands;                 /* of these, numbers with a sign between their thousands */
    size_t outside; /* numbers that the guessed channel cannot have; 0 while no unit is known */
    struct measure_code code[MEASURE_CODES];
    size_t n_codes;
    double first;
    double least;
    double most;
    double middle; /* median */
    bool whole;    /* all numbers are whole */
    bool counts;   /* they never fall and rise in all */
};

/* In:      guess   NULL or not yet settled: then nothing is outside
 * Out:     value   n_rows: the column's numbers, NaN where there is none or an error code
 * Returns: false when out of memory */
bool measure_column(const struct sample *sample, size_t column, struct measure *measure,
                    double *value);

/* Counts what the channel cannot have, once its unit is settled. */
void measure_outside(const double *value, size_t n, const struct guess *guess,
                     struct measure *measure);

#endif
