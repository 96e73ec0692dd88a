/* Clock miss: why no column was recognised as the time, where a column seems to be meant for it.
 */
#ifndef DRAFT_CLOCK_MISS_H
#define DRAFT_CLOCK_MISS_H

#include "base/text.h"
#include "draft/clock.h"

/* For a clock that was not found. Appends a sentence that says what stands there and what to do;
 * nothing where no column looks like a time. */
void clock_miss_add(const struct sample *sample, const struct clock *clock, struct text *out);

#endif
