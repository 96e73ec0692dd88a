/* What the first screen is made of, for its writers in text and in HTML.
 */
#ifndef REPORT_FIRST_SCREEN_H
#define REPORT_FIRST_SCREEN_H

#include "result/document.h"

#include <stdbool.h>

#define FIRST_SCREEN_PLUS_MINUS                                                                    \
    "(± is half of the 95 % interval: in 19 of 20 such tests it holds the truth.)"

/* "Cannot say"; "" for the answer, which needs no label. Places before FINDING_DETAIL. */
const char *first_screen_label(enum finding_place place);

/* Whether any sentence of it says ±, which is then to be explained. */
bool first_screen_says_plus_minus(const struct document *doc);

#endif
