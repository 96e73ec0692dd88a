/* Row field: the text of a row's field -> its reading in SI, or the stamp's text.
 */
#ifndef INGEST_ROW_FIELD_H
#define INGEST_ROW_FIELD_H

#include "ingest/block.h"
#include "ingest/row.h"

#include <stddef.h>

/* A field of the plan's column k.
 * In:      bytes, n  outer blanks cut
 * Out:     value_si  NaN where the flag is not good */
enum reading_flag row_reading(const struct row_form *form, size_t k, const char *bytes, size_t n,
                              double *value_si);

/* The same for a field that is the number `number`. */
enum reading_flag row_value(const struct row_form *form, size_t k, double number, double *value_si);

/* Takes a field that ingest/csv.h cut into the current row.
 * In:      state   struct rows
 *          number  of the field, from 0; beyond the header's it is surplus */
void row_take_field(void *state, size_t number, const char *bytes, size_t n);

#endif
