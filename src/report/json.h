/* results.json: the whole document for other programs (docs/results.md has the schema).
 *
 * Stable order of keys; numbers with the fewest digits that read back equal; null for what is
 * missing. The same document gives the same bytes.
 */
#ifndef REPORT_JSON_H
#define REPORT_JSON_H

#include "base/faults.h"
#include "base/text.h"
#include "result/document.h"

#include <stdbool.h>

#define REPORT_SCHEMA "etabench results"
enum { REPORT_SCHEMA_VERSION = 1 };

/* Appends the document. Returns: false when memory is short. */
bool report_json(const struct document *doc, struct text *out, struct faults *faults);

#endif
