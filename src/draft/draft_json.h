/* Draft JSON: what a draft understood, for programs. Its keys stand in docs/results.md.
 */
#ifndef DRAFT_DRAFT_JSON_H
#define DRAFT_DRAFT_JSON_H

#include "base/text.h"
#include "draft/draft_log.h"

/* One object with a line end; numbers in exact digits, null where there is none. */
void draft_json_add(const struct draft_log *log, const char *description, struct text *out);

#endif
