/* Clock mm: columns called "MM", "mm" or, twice, "m": the month or the minute.
 *
 * Two of them are told apart by their neighbours: the month stands beside day or year, the minute
 * beside hour or second; where these do not tell, capitals are the month. What their numbers rule
 * out is not taken.
 */
#ifndef DRAFT_CLOCK_MM_H
#define DRAFT_CLOCK_MM_H

#include "draft/sample.h"

#include <stdbool.h>
#include <stddef.h>

struct clock_mm {
    size_t n;         /* such columns, 2 at most */
    size_t column[2]; /* with told: the month, then the minute; else as they stand */
    bool told;
};

/* In:  is_date, is_clock   whether a name is that of day or year, of hour or second */
void clock_mm_find(const struct sample *sample, bool is_date(const char *name),
                   bool is_clock(const char *name), struct clock_mm *mm);

#endif
