/* Complaints: the wording of everything that can be wrong with a log, in one place.
 * Each returns false, so that a caller can say `return complain_...`.
 */
#ifndef INGEST_COMPLAINT_H
#define INGEST_COMPLAINT_H

#include "base/faults.h"
#include "ingest/account.h"
#include "ingest/csv.h"
#include "ingest/file_state.h"
#include "ingest/header.h"
#include "ingest/lines.h"
#include "ingest/log_plan.h"
#include "ingest/stamp.h"
#include "ingest/swap.h"

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

enum { QUOTED_SIZE = 48 };

/* The first thing of a kind, kept while the counting goes on. */
struct first_seen {
    size_t file;
    long line;              /* 0: none */
    long column;            /* in characters */
    size_t field;           /* from 1 */
    char text[QUOTED_SIZE]; /* as it stands, cut */
};

/* What a file's rows have been refused for. */
struct stamp_troubles {
    const char *path;
    const struct log_plan *plan;
    const struct stamp_format *format;
    uint64_t rows_read;
    uint64_t rows_used;
    int64_t step_us; /* between rows; 0: not known */
    bool contradicted; /* a stated setting of the clock was complained of: it explains rows that run
                          backwards */
    bool merged; /* rows of other files were taken by turns with its own */
    const char *apart; /* why files of the log were not merged where they met (ingest/turns.h) */
    uint64_t count[ROW_REFUSALS];
    struct first_seen first[ROW_REFUSALS];
    long unfinished;             /* line of a used row without a line end, or 0 */
    enum stamp_status first_bad; /* why the first bad stamp is bad */
    int64_t backward_us;         /* the first backward stamp */
    int64_t unset_us;            /* the first stamp of a clock that was not set */
    struct row_before {
        int64_t us; /* stamp of the last used row before the first refused one */
        const char *path;
        long line;             /* 0: there is none */
    } before[ROW_REFUSALS];    /* of backward and skipped stamps; of rows that stand in an
                                  earlier file, the first such row there */
    struct swap_seen {
        uint64_t count;
        enum swap_kind kind; /* of the first, and all below */
        struct row_before before;
        int64_t now_us;
        int64_t meant_us[2];
        struct first_seen now;
    } mixed, leap; /* rows that run backwards unless day and month are exchanged; leaps forward
                      that would be none */
};

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

/* Tells which files' rows lie between each other's: a note, if any do. */
void note_merged(const struct log_account *account, struct faults *faults);

/* For ingest/complaint_clock.h. */

/* "3 of 3,600 rows; this is the first" */
const char *complain_share(uint64_t count, uint64_t of, char out[96]);

/* A fault at the first row that was refused for `refusal`. */
struct fault *complain_at_first(const struct stamp_troubles *t, enum row_refusal refusal,
                                enum fault_kind kind, struct faults *faults);

/* More than 1 in 100 is more than stray damage: the log as a whole is not what it is said to be. */
enum fault_kind complain_kind(uint64_t count, const struct stamp_troubles *t);

/* "12,345" */
const char *count_text(uint64_t count, char out[32]);

#endif
