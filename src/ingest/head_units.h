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

enum { HEAD_TEXT_SIZE = 40 };

/* In:      rows  past the rows below its header
 * Returns: false with an input fault for each column that is headed by another unit and not stated
 * to be headed wrongly; of one that may be there is a warning. */
bool head_units_check(const struct rows *rows, struct faults *faults);

/* The unit of column k as the head says it plainly: by a row of units, between brackets, behind a
 * comma; else as the description does. Returns: NULL where the description's may be another one
 * than the log's */
const struct unit *head_units_so_far(const struct rows *rows, size_t k, bool *by_head);

/* Whether two units of one dimension are two. */
bool head_units_differ(const struct unit *a, const struct unit *b);

/* A field of a row of units without brackets. Returns: false if it is empty or too long for one. */
bool head_units_cut(const char *bytes, size_t n, char out[HEAD_TEXT_SIZE]);

#endif
