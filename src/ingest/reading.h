/* A reading on its way: what the files of the reader share (reader.c,
 * reading_files.c, reading_rows.c, reading_batch.c, reading_refuse.c, reading_lost.c,
 * reading_stray.c).
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
#include "ingest/stray.h"
#include "ingest/timing.h"
#include "ingest/turns.h"
#include "ingest/unit_turn.h"
#include "ingest/whole.h"

enum { NAMED_MAX = 50 }; /* bad lines that are named; the others are counted */

/* From so many threads on one of them reads and hashes a file that is open alone. */
enum { READING_AHEAD = 3 };

/* A file from its opening to its end. It is not moved. */
struct reading_file {
    struct rows rows;
    struct batch batch;
    bool row;     /* rows holds one that was not taken yet */
    bool ended;
    bool given_up; /* before its end */
    size_t turn; /* into the turns' files */
    size_t file; /* into account->files */
    struct stamp_troubles troubles;
    struct overlap overlap; /* with earlier files */
    int64_t last_us; /* of its last used row that was the newest, with last_line */
    long last_line;  /* 0: there is none */
    long leapt_line; /* the last one that came a gap after the row before, by leapt_us */
    int64_t leapt_us;
    uint64_t short_rows;
    long short_line; /* the last one with fewer fields than the header; 0: there is none */
    bool lost;  /* a row was set aside since the last used one (reading_lost.c) */
    bool asked; /* for strays */
    struct stray stray;
    struct pending {
        uint64_t n; /* rows without a stamp since the last one with one: perhaps a summary */
        struct first_seen first;
        enum stamp_status status;
        bool over; /* there were too many for one */
    } pending;
    struct first_seen other_head; /* below the last row with a stamp; line 0: there is none */
};

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
    /* Of the relay's RELAY_JUDGE, which alone uses them, with the account's counts and ranges of
     * readings; the sinks are RELAY_USE's. */
    struct screen screen;
    struct whole whole;

    struct unit_turn unit_turn; /* RELAY_USE's */

    struct file_state *before; /* of each file of the plan, when the reading began */
    struct turns turns;
    struct reading_file *open[TURNS_FILES_MAX]; /* in the order of their opening */
    size_t n_open;
    struct reading_file *now; /* the one whose row is looked at */
    uint64_t bytes_before;    /* of the files that were closed */
    struct repeat repeat;
    struct timing timing;
    struct first_seen first_flag[CH_LOGGED][FLAG_COUNT]; /* by column of the plan */
    bool alike[CH_LOGGED];   /* all its readings out of range so far are the first one again */
    size_t field[CH_LOGGED]; /* of the last file's header, from 1 */
    enum channel list[CH_LOGGED];                        /* channel of each column of the plan */
    bool any;                                            /* a row was used */
    bool lost; /* a row at the end of a file was set aside, and none used since */
    int64_t clock_us; /* of the last used row, before timing_move */
    size_t last_file;                                    /* of the last used row, with last_line */
    long last_line;
    uint64_t named;
    bool input_ok; /* no input fault so far */
};

/* Counts a row that is not used, and keeps the first of its kind. */
void reading_refuse(struct reading *r, const struct rows *rows, enum row_refusal refusal);

/* The same of a row that is not the current one. */
void reading_refuse_at(struct reading *r, enum row_refusal refusal, long line);

/* Rows without a stamp: a summary if no row with a stamp follows in the file, else bad stamps. */
void reading_settle_pending(struct reading *r, enum row_refusal refusal);

/* Reads on in the files, the rows of those that are open together in the order of time, until the
 * relay is due. Out: over  there was none any more. Returns: false if the reading cannot go on at
 * all. */
bool reading_files(struct reading *r, bool *over);

/* Closes the files that are still open. */
void reading_close(struct reading *r);

/* Takes the row that the current file holds. Returns: false if a sink stopped the reading, or with
 * a machine fault. */
bool reading_take_row(struct reading *r);

/* Takes rows of the current file into the block while they are of the plainest kind
 * (ingest/batch.h), follow on one of their file that was used, and are before limit_us. */
void reading_take_batch(struct reading *r, int64_t limit_us);

/* The row in `line` of the current file is used next: notes if its file goes on after another's. */
void reading_note_turn(struct reading *r, long line);

/* Looks for rows of the current file whose stamps run ahead, once. Returns: false with a machine
 * fault. */
bool reading_ask_strays(struct reading *r);

/* Whether the row that the current file holds is one of them; it is refused then. */
bool reading_is_stray(struct reading *r);

/* Asks, and takes such rows back that were used and are held.
 * Returns: false with a machine fault. */
bool reading_take_back(struct reading *r);

/* Whether such rows are still to come. */
bool reading_has_strays_ahead(const struct reading_file *file);

/* The current file has ended: its last row may stand alone. Returns: false with a machine fault. */
bool reading_end_strays(struct reading *r);

/* A row of the current file was set aside for this. */
void reading_lose(struct reading *r, enum row_refusal refusal);

/* The row in hand is used next: its counts since the row before are not, if that was set aside. */
void reading_settle_lost(struct reading *r, struct rows *rows);

/* What a row that gives no reading is counted as. */
void reading_set_aside(struct reading *r, const struct rows *rows, enum row_status status);

/* A leap of weeks may be an exchange of day and month. */
void reading_note_swap(struct reading *r, const struct rows *rows);

/* Where a row stands, as it is kept for each row that is held. */
struct row_place reading_place(size_t file, long line);

#endif
