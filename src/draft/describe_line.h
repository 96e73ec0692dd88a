/* Describe line: one line of a drafted description.
 */
#ifndef DRAFT_DESCRIBE_LINE_H
#define DRAFT_DESCRIBE_LINE_H

#include "base/text.h"

/* Every place that must be filled in carries this mark, and check refuses the file while one is
 * left as it was drafted. */
#define FILL_IN "# FILL IN: "

/* One line `key = value  # remark`; an empty value or a NULL remark is left out. `mark` heads the
 * remark: FILL_IN or "# guess: " or "# ". */
void describe_line(struct text *out, const char *key, const char *value, const char *mark,
                   const char *remark);

#endif
