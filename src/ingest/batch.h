/* Batches: rows of good readings taken many at a time, straight into the columns of a block.
 *
 * A row belongs to a batch if its line is plain as in ingest/quick.h, each reading is a plain
 * number of at most 15 digits that is in range and no missing marker, and its stamp follows on the
 * row before without a gap, before the limit. The first row that does not ends the batch and is
 * left untouched for rows_next: the result is the same either way, only the time differs (about
 * threefold).
 *
 * Rows that look like one before them are read by ingest/batch_shapes.h, others by
 * ingest/batch_avx2.h.
 *
 * It takes a processor with AVX2. On any other, or with ETABENCH_PLAIN set at compile time, a batch
 * is always empty.
 */
#ifndef INGEST_BATCH_H
#define INGEST_BATCH_H

#include "ingest/batch_shapes.h"
#include "ingest/batch_target.h"
#include "ingest/row.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum {
    BATCH_PIECE = 2048,
    BATCH_NUMBERS = CH_LOGGED + CH_LOGGED % 2,
    BATCH_QUAD = 4,
    BATCH_QUADS = (CH_LOGGED + BATCH_QUAD - 1) / BATCH_QUAD
};

/* Four numbers that are read at once (ingest/batch_quads.h), and what is known of their decimal
 * signs from the row before. */
struct batch_quad {
    size_t field[BATCH_QUAD];
    bool side_by_side; /* the fields are */
    size_t column[BATCH_QUAD];
    double gain[BATCH_QUAD];
    double add[BATCH_QUAD];
    double scale[BATCH_QUAD];
    double offset[BATCH_QUAD];
    double least_si[BATCH_QUAD];
    double most_si[BATCH_QUAD];
    uint32_t signs;    /* where decimal signs stand, a bit a byte; the rest follows from it */
    double divisor[BATCH_QUAD];
    double inverse[BATCH_QUAD]; /* 1 / divisor, to the nearest double */
    int64_t other[BATCH_QUAD]; /* bytes that are neither digit nor minus: 0 or 1 */
    int8_t order[BATCH_QUAD * 8]; /* of digits, the sign taken out */
};

struct batch {
    bool able;
    struct batch_shapes shapes;
    size_t n_fields;
    size_t time_field[2];
    size_t n_times;
    size_t n_numbers; /* fields with a reading */
    size_t number_field[BATCH_NUMBERS];
    size_t column[BATCH_NUMBERS]; /* of the plan */
    /* By number; one beyond the last that changes nothing and is never out of range. */
    double gain[BATCH_NUMBERS];
    double add[BATCH_NUMBERS];
    double scale[BATCH_NUMBERS];
    double offset[BATCH_NUMBERS];
    double least_si[BATCH_NUMBERS];
    double most_si[BATCH_NUMBERS];
    size_t n_quads; /* 0 with fewer than four numbers */
    struct batch_quad quad[BATCH_QUADS];
    /* Separators, line ends and other bytes that end a plain field, in a piece of the buffer as it
     * was after so many fills; the first is the byte before the piece. */
    uint64_t fills;
    size_t piece_end;
    size_t n_marks;
    size_t next; /* of the row to come; mark[next - 1] is the byte before it */
    uint32_t mark[BATCH_PIECE + 16];
};

/* For a file just opened. */
void batch_init(struct batch *batch, const struct rows *rows);

/* Takes rows while they belong to the batch.
 * In/Out:  target   last_us
 * Returns: how many */
size_t batch_take(struct batch *batch, struct rows *rows, struct batch_target *target);

#endif
