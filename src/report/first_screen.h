/* What the first screen is made of, for its writers in text and in HTML.
 */
#ifndef REPORT_FIRST_SCREEN_H
#define REPORT_FIRST_SCREEN_H

#include "result/document.h"

#include <stdbool.h>


/* "Cannot say"; "" for the answer, which needs no label. Places before FINDING_DETAIL. */
const char *first_screen_label(enum finding_place place);

/* What ± means, where any sentence says it: below a doubt of the answer itself nothing is promised.
 * Returns: a constant; NULL where no sentence says ±. */
const char *first_screen_plus_minus(const struct document *doc);

#endif
