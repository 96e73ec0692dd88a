/* Understood: what a draft made of the logs, in words for who knows the logger.
 */
#ifndef DRAFT_UNDERSTOOD_H
#define DRAFT_UNDERSTOOD_H

#include "base/text.h"
#include "draft/draft_log.h"

void understood_add(const struct draft_log *log, struct text *out);

#endif
