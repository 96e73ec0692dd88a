/* Missing: the line of a description that says what the logger writes when it has no reading.
 */
#ifndef DRAFT_MISSING_H
#define DRAFT_MISSING_H

#include "draft/draft_log.h"

/* Appends a column's markers and error codes to a list that begins with some, and to its remark,
 * each once. A number that another used column holds as a reading is left out: the list is of all
 * columns.
 */
void missing_add(const struct draft_log *log, size_t column, struct text *value,
                 struct text *remark);

#endif
