/* Zone doubt: a column that seems to hold the stamps' zone and was not taken (draft/clock_zone.h).
 */
#ifndef DRAFT_ZONE_DOUBT_H
#define DRAFT_ZONE_DOUBT_H

#include "draft/draft_log.h"

void zone_doubt(struct draft_log *log);

#endif
