/* Units settle: units that no head states, found from the numbers where these leave one answer.
 *
 * Air of 68 is in degF, water of 15 is not; sunshine of 900 is in W/m2; and the heat that the water
 * carries away must come from a collector of a possible size, which parts L/min from L/h. Where two
 * units are possible both are told, with what they would mean, and the unit is asked for.
 */
#ifndef DRAFT_UNITS_SETTLE_H
#define DRAFT_UNITS_SETTLE_H

#include "draft/draft_log.h"

/* Fills unit, unit_why and unit_ask of the chosen columns' guesses, and adds doubts about units
 * that are stated and cannot be. */
void units_settle(struct draft_log *log);

#endif
