/* Places: what the numbers say of columns whose names say nothing ("T1", "ch4").
 *
 * Sunshine is near zero at night and some hundred W/m2 by day; of two thermometers of the fluid the
 * outlet's is the warmer one in sunshine; the air varies least. Where more than one answer is left
 * none is given, and the column is asked for.
 */
#ifndef DRAFT_PLACES_H
#define DRAFT_PLACES_H

#include "draft/draft_log.h"

/* Fills guesses of columns that had none, and log->chosen for channels that had no column. */
void places_settle(struct draft_log *log);

#endif
