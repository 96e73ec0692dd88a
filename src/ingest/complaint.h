/* Complaints: the wording of everything that can be wrong with a log.
 * Each returns false, so that a caller can say `return complain_...`.
 *
 * Those about lines, heads, channels and a file's rows as a whole are here; those about a log's
 * clock are in ingest/complaint_clock.h, about several files in ingest/complaint_files.h.
 */
#ifndef INGEST_COMPLAINT_H
#define INGEST_COMPLAINT_H

#include "base/faults.h"
#include "ingest/account.h"
#include "ingest/complaint_first.h"
#include "ingest/csv.h"
#include "ingest/file_state.h"
#include "ingest/header.h"
#include "ingest/lines.h"
#include "ingest/log_plan.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* A line that is no row. */
struct bad_line {
    const char *path;
    const struct line *line;
    enum line_status line_status;
    enum csv_status csv_status; /* counts when line_status is LINE_TEXT */
    size_t at;                  /* byte of the line */
    size_t fields;              /* more fields than the header has: both are set, else 0 */
    size_t header_fields;
};
bool complain_bad_line(const struct bad_line *bad, struct faults *faults);

/* A column of the plan that the header lacks (found 0) or has more than once. `role` says what it
 * is for: "inlet", "time"; `several`: the log has other files, which may hold it. */
bool complain_column(const struct header *header, const char *path, const char *name,
                     const char *role, size_t found, size_t first, bool several,
                     struct faults *faults);

/* A header row that names not one of the plan's columns: one fault instead of one a column. */
bool complain_header(const struct header *header, const char *path, const struct log_plan *plan,
                     struct faults *faults);

/* Says what is to be said of a whole file's rows.
 * Returns: false if there was an input fault: no row, none with a readable stamp, none used, more
 *          than 1 in 100 bad or backward stamps. */
bool complain_rows(const struct stamp_troubles *troubles, struct faults *faults);

/* "46.3 degC": a reading in its column's unit. */
void value_text(const struct log_column *column, double value_si, char out[QUOTED_SIZE]);

/* Says what is to be said of a channel after all files; first[] by flag; alike: all that is out of
 * range is the same number.
 * Returns: false with an input fault if none of its readings is good. */
bool complain_channel(const struct log_plan *plan, const struct log_column *column,
                      const struct log_account *account, const struct first_seen first[FLAG_COUNT],
                      bool alike, struct faults *faults);

/* What became of a file while its first `bytes` were read. One that grew gives a warning and
 * true. */
bool complain_change(const char *path, enum file_change change, uint64_t bytes,
                     struct faults *faults);

#endif
