/* Stamp zone: the zone that a stamp carries, in the stamp or in a column beside it.
 *
 * Z, UTC and GMT; +02:00, +0200, +02 and +2, also behind UTC or GMT (east is +, as people write
 * it); and the abbreviations that the time-zone database gives to one offset only since 2000 (MEZ
 * and MESZ, German for CET and CEST, from memory). One that means several is not read: CST is
 * UTC-6, UTC-5 or UTC+8. Nor are AST, GST and SST, which further zones are called by elsewhere
 * (from memory). Source: edition 2025b of the database.
 */
#ifndef INGEST_STAMP_ZONE_H
#define INGEST_STAMP_ZONE_H

#include <stdbool.h>
#include <stdint.h>

enum stamp_zone { STAMP_ZONE_GOOD, STAMP_ZONE_FORM, STAMP_ZONE_UNKNOWN };

/* Takes a zone.
 * Out:     at         behind it
 *          offset_s   local minus UTC; untouched unless STAMP_ZONE_GOOD
 * Returns: STAMP_ZONE_UNKNOWN for a word that is none of them, STAMP_ZONE_FORM for anything else */
enum stamp_zone stamp_zone_take(const char **at, const char *end, int64_t *offset_s);

#endif
