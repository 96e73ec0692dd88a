/* Files' doubt: a column that reads quite otherwise in one log than in another.
 */
#ifndef DRAFT_FILES_DOUBT_H
#define DRAFT_FILES_DOUBT_H

#include "draft/draft_log.h"

/* Sunshine, air and flow of each log beside those of the first: a logger that was set up anew
 * writes other units under the same names. Adds a doubt for each column that differs by our own
 * figures: three times for flow and sunshine, 25 degrees for the air.
 * Returns: false when out of memory. */
bool files_doubt(struct draft_log *log);

#endif
