/* Row seen: where a field of a row stands and what is in it, for a message.
 */
#ifndef INGEST_ROW_SEEN_H
#define INGEST_ROW_SEEN_H

#include "ingest/complaint_first.h"
#include "ingest/row.h"

/* Field `field` (from 0) of the current line; costs a search, so it is asked for only when it is to
 * be told. file: into the account's files. */
struct first_seen row_seen(const struct rows *rows, size_t file, size_t field);

/* The same for the stamp: the place of its first column, the text of all. */
struct first_seen row_seen_stamp(const struct rows *rows, size_t file);

#endif
