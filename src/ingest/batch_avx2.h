/* The part of ingest/batch.h that needs a processor with AVX2: marks and numbers, many bytes at
 * once.
 *
 * A number of n digits is loaded so that its last byte is the last of 16, its decimal sign is
 * shuffled out, and pairs, fours and eights of digits are joined by multiplication. Its whole
 * value, below 10^15, and the power of ten that divides it are exact doubles, so the quotient is
 * rounded once, as strtod would (Clinger 1990).
 */
#ifndef INGEST_BATCH_AVX2_H
#define INGEST_BATCH_AVX2_H

#include "ingest/batch.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { BATCH_MARKED = 64 }; /* bytes looked at together */

/* Whether the others may be called: they are there and the processor knows AVX2 and BMI. */
bool batch_avx2_able(void);

/* Makes four numbers ready: no decimal sign was seen yet. */
void batch_avx2_settle(struct batch_quad *quad);

/* Where a separator, a quote or a control byte up to CR stands.
 * In:      from, to   a multiple of BATCH_MARKED apart
 * Out:     mark       room for to - from + 8
 * Returns: how many */
size_t batch_avx2_marks(const char *text, size_t from, size_t to, char separator, uint32_t *mark);

/* Takes rows from batch->next on, as far as the marks reach, behind the `taken` ones.
 * In:      16 bytes before the row can be read
 * Returns: how many; batch->next is moved on */
size_t batch_avx2_rows(struct batch *batch, struct rows *rows, struct batch_target *target,
                       size_t taken);

#endif
