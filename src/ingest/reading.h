/* A reading on its way: what the files of the reader share (reader.c, reading_refuse.c).
 */
#ifndef INGEST_READING_H
#define INGEST_READING_H

#include "ingest/batch.h"
#include "ingest/block.h"
#include "ingest/complaint.h"
#include "ingest/file_state.h"
#include "ingest/overlap.h"
#include "ingest/queue.h"
#include "ingest/relay.h"
#include "ingest/repeat.h"
#include "ingest/rows.h"
#include "ingest/screen.h"
#include "ingest/timing.h"

enum { NAMED_MAX = 50 }; /* bad lines that are named; the others are counted */

struct reading {
    const struct log_plan *plan;
    struct row_form form;
    struct sink *sinks;
    size_t n_sinks;
    struct log_account *account;
    struct faults *faults;

    unsigned threads;
    struct queue queue; /* being filled */
    struct relay relay;
    /* At the relay's other end, which alone uses it, with the sinks and the account's counts and
     * ranges of readings. */
    struct screen screen;

    struct file_state *before; /* of each file of the plan, when the reading began */
    size_t file; /* into account->files */
    uint64_t bytes_before; /* of the files before it */
    struct stamp_troubles troubles;
    struct repeat repeat;
    struct timing timing;
    struct overlap overlap; /* of the current file with earlier ones */
    struct first_seen first_flag[CH_LOGGED][FLAG_COUNT]; /* by column of the plan */
    bool alike[CH_LOGGED];   /* all its readings out of range so far are the first one again */
    size_t field[CH_LOGGED]; /* of the last file's header, from 1 */
    enum channel list[CH_LOGGED];                        /* channel of each column of the plan */
    bool any;                                            /* a row was used */
    int64_t clock_us; /* of the last used row, before timing_move */
    size_t last_file;                                    /* of the last used row, with last_line */
    long last_line;
    struct pending {
        uint64_t n; /* rows without a stamp since the last one with one: perhaps a summary */
        struct first_seen first;
        enum stamp_status status;
        bool over; /* there were too many for one */
    } pending;
    uint64_t named;
    bool input_ok; /* no input fault so far */
};

/* Counts a row that is not used, and keeps the first of its kind. */
void reading_refuse(struct reading *r, const struct rows *rows, enum row_refusal refusal);

/* Rows without a stamp: a summary if no row with a stamp follows in the file, else bad stamps. */
void reading_settle_pending(struct reading *r, enum row_refusal refusal);

/* Takes rows into the block while they are of the plainest kind (ingest/batch.h) and follow on one of
 * their file that was used. In: batch  of the open file */
void reading_take_batch(struct reading *r, struct batch *batch, struct rows *rows);

/* What a row that gives no reading is counted as. */
void reading_set_aside(struct reading *r, const struct rows *rows, enum row_status status);

/* A leap of weeks may be an exchange of day and month. */
void reading_note_swap(struct reading *r, const struct rows *rows);

/* Where a row stands, as it is kept for each row that is held. */
struct row_place reading_place(size_t file, long line);

#endif
