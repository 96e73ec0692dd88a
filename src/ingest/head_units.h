/* Head units: whether the units that a log's head states are those of the description.
 *
 * A unit stands in the row below the names or at the end of a name: "T in [degF]", "T in (degF)",
 * "T in, degF", "T in degF", "Flow/gpm" (domain/head_unit.h). It contradicts if it is another unit
 * of the same dimension; a column with a gain of its own is not judged, since the log's unit may be
 * that of the raw signal. A lone letter that may be a part of the name ("Sensor F", "TinF") is no
 * more than a doubt.
 */
#ifndef INGEST_HEAD_UNITS_H
#define INGEST_HEAD_UNITS_H

#include "ingest/row.h"

/* In:      rows  past the rows below its header
 * Returns: false with an input fault for each column that is headed by another unit and not stated
 * to be headed wrongly; of one that may be there is a warning. */
bool head_units_check(const struct rows *rows, struct faults *faults);

#endif
