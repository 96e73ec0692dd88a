/* People: numbers and a log's own text as they are shown to them.
 */
#ifndef DRAFT_PEOPLE_H
#define DRAFT_PEOPLE_H

#include "base/text.h"

/* Six digits, without the zeros that end a decimal fraction. Returns: out */
const char *draft_number(double value, char out[32]);

/* Appends text of a log: control characters and broken UTF-8 as '?'. */
void draft_add_clean(struct text *out, const char *string);

#endif
