/* Describe: a draft's knowledge -> the text of a description.
 */
#ifndef DRAFT_DESCRIBE_H
#define DRAFT_DESCRIBE_H

#include "base/text.h"
#include "draft/draft_log.h"

#include <stdbool.h>

/* Returns: false with a machine fault. */
bool describe_add(const struct draft_log *log, struct text *out, struct faults *faults);

/* The [instrument] sections; describe_add calls it. */
void describe_instruments(const struct draft_log *log, struct text *out);

/* For points_seen.h: head, collector and fluid of a description drafted from a `source`; the `file`
 * lines; the lines that state one instrument's errors (the long list of thermometers once). */
void describe_top(struct text *out, const char *source);
bool describe_files(const struct draft_log *log, struct text *out, struct faults *faults);
void describe_errors(enum channel channel, bool *thermometers_listed, struct text *out);

#endif
