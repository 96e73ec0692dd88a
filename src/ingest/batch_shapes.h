/* Shapes: the quickest way through a log, whose rows mostly look like one before them.
 *
 * A row's shape is where its bytes that are no digits stand and which they are: separators, decimal
 * signs, minus signs, the line's end, words in columns that are not used. What follows from a shape
 * (where each number's digits are, what divides it, its sign) is found once, byte by byte, and
 * kept; of each later row of that shape the digits are then taken to their numbers by one shuffle
 * of 64 bytes, and eight numbers are made from them at once. The numbers are those of
 * ingest/batch_avx2.h, to the bit: a whole number below 10^8 and a power of ten are exact, and the
 * quotient is rounded once.
 *
 * It is for rows that begin with the time, whose other fields with the line's end take SHAPE_BYTES
 * at most, with one to SHAPE_LANES numbers of SHAPE_DIGITS digits at most. Where new shapes come
 * too often to be worth it, it rests for a while. Any row that it does not take it leaves
 * untouched.
 *
 * It takes a processor with AVX-512 and its byte shuffle (VBMI).
 */
#ifndef INGEST_BATCH_SHAPES_H
#define INGEST_BATCH_SHAPES_H

#include "ingest/batch_target.h"
#include "ingest/row.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { SHAPE_BYTES = 64, SHAPE_LANES = 8, SHAPE_DIGITS = 8, SHAPES = 32 };

struct batch_shape {
    uint64_t other;          /* bytes that are no digits, a bit each; 0: no shape */
    char text[SHAPE_BYTES];  /* of the row it was found in */
    uint8_t order[SHAPE_LANES * SHAPE_DIGITS]; /* by place in a lane: byte of the row */
    uint64_t digits;                           /* the places that hold one, a bit each */
    double divisor[SHAPE_LANES];
    double inverse[SHAPE_LANES]; /* 1 / divisor, to the nearest double */
    double sign[SHAPE_LANES];    /* 0 or -0 */
};

struct batch_shapes {
    bool able;
    size_t n_fields; /* behind the time */
    size_t n_times;
    size_t n_numbers;
    int lane[SHAPE_BYTES]; /* by field behind the time: of its number; -1: not used */
    size_t column[SHAPE_LANES]; /* of the plan */
    double gain[SHAPE_LANES];
    double add[SHAPE_LANES];
    double scale[SHAPE_LANES];
    double offset[SHAPE_LANES];
    double least_si[SHAPE_LANES];
    double most_si[SHAPE_LANES];
    int credit; /* falls with every new shape, rises with every row that had a known one */
    int rest;   /* calls to come that take nothing */
    struct batch_shape shape[SHAPES];
};

/* For a file just opened. */
void batch_shapes_init(struct batch_shapes *shapes, const struct rows *rows);

/* Takes rows behind the `taken` ones, from the buffer's next byte on.
 * Returns: how many, which lines_pass has passed over */
size_t batch_shapes_rows(struct batch_shapes *shapes, struct rows *rows,
                         struct batch_target *target, size_t taken);

#endif
