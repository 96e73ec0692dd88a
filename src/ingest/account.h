/* Log account: what was read, what was set aside and why. Every row and every reading is counted
 * once.
 *
 *     rows_read = rows_used + all of refused[]
 *     for each channel of the plan: all of count[] = rows_used
 */
#ifndef INGEST_ACCOUNT_H
#define INGEST_ACCOUNT_H

#include "base/faults.h"
#include "base/hash.h"
#include "domain/channel.h"
#include "ingest/block.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Why a whole row was not used. */
enum row_refusal {
    ROW_BAD_LINE,     /* quote fault, NUL byte, too long: its fields are not known */
    ROW_BAD_STAMP,    /* no time can be read from it */
    ROW_SKIPPED,      /* its stamp is of the hour over which the clock is put forward */
    ROW_UNSET,        /* its stamp is what a clock shows that was not set */
    ROW_NO_START,     /* counted from a power-up of which no instant is stated */
    ROW_PART,         /* first rows of a stretch whose part of their common stamp is not known */
    ROW_DUPLICATE,    /* same stamp as the row before */
    ROW_BACKWARD,     /* stamp before that of the last used row */
    ROW_STRAY,        /* stamp ahead of the rows around it (ingest/stray.h) */
    ROW_OVERLAP,      /* it stands in an earlier file too */
    ROW_DIFFERS,      /* other readings at a stamp of an earlier file */
    ROW_HEADER_AGAIN, /* the header row repeated, as after a logger's restart */
    ROW_HEAD,         /* units or the like below the header row */
    ROW_SUMMARY,      /* below the last reading, without a stamp: means and the like */
    ROW_CUT,          /* the file ends inside it */
    ROW_FILLED,       /* begins or ends with NUL or 0xFF bytes, as a power cut leaves them */
    ROW_REFUSALS
};
/* Whether such a row is no reading at all: nothing is lost by it. */
bool row_refusal_is_plain(enum row_refusal refusal);
const char *row_refusal_words(enum row_refusal refusal); /* "stamp that cannot be read" */

/* The first of a kind; line 0: there is none. */
struct log_place {
    size_t file; /* into files[] */
    long line;
};

struct log_file {
    char *path;
    char sha256[HASH_HEX_SIZE];
    uint64_t bytes;
    uint64_t rows_read;
    uint64_t rows_used;
    int64_t first_us; /* of the rows used; 0 if none was */
    int64_t last_us;
    bool between; /* rows of it lie between rows of another file, or the other way round */
};

/* The longest of the runs of one number that were used because the readings had shown no fine step
 * when they were handed on; steps were fine later (ingest/screen.h). */
struct log_still {
    uint64_t n; /* rows; 0: there is none */
    struct log_place first;
    double value_si;
    int64_t lasted_us;
};

/* A pile of readings just below the highest one (ingest/ceiling.h). */
struct log_ceiling {
    double share; /* of the bright readings; 0: there is none */
    double least_si;
};

/* Thousands that were read as ones (ingest/thousand.h). */
struct log_thousand {
    uint64_t rows; /* 0: there are none */
    struct log_place first;
    double before; /* the number of the row before it, and its own */
    double number;
};

/* Different good readings of a channel, the first so many: a column with few of them is coarse. One
 * that goes to and fro between them, so many times in as many twenties of rows, is not looked at any
 * longer. */
enum { LOG_LEVELS_KEPT = 16, LOG_LEVELS_CHANGES = 1024, LOG_LEVELS_ROWS = 20 };
struct log_levels {
    double si[LOG_LEVELS_KEPT]; /* in the order in which they came */
    size_t n;         /* LOG_LEVELS_KEPT + 1: there are more, and nothing is counted any longer */
    double last_si;   /* reading */
    uint64_t rows;
    uint64_t changes; /* from one good reading to the next */
};

struct log_channel {
    bool present;
    const char *column; /* borrowed from the plan */
    uint64_t count[FLAG_COUNT];
    struct log_place first[FLAG_COUNT];
    double least_si; /* of the good readings; NaN if there is none */
    double most_si;
    struct log_still still;
    struct log_ceiling ceiling;
    struct log_thousand thousand;
    struct log_levels levels;
};

enum { LOG_GAPS_KEPT = 50 };

struct log_gap {
    int64_t from_us; /* last stamp before it */
    int64_t to_us;   /* first stamp after it */
};

struct log_account {
    struct log_file *files; /* in time order */
    size_t n_files;
    uint64_t bytes_total; /* of all files of the plan, as they were when the reading began */
    uint64_t rows_read;
    uint64_t rows_used;
    uint64_t refused[ROW_REFUSALS];
    struct log_place first_refused[ROW_REFUSALS];
    struct log_channel channels[CH_LOGGED]; /* by enum channel */
    int64_t first_us;                       /* of the rows used */
    int64_t last_us;
    int64_t step_us; /* median step of the first 1000 usable rows; 0 with fewer than two */
    int64_t gap_us;  /* a longer step is a gap (stated, or 3 steps); 0: none can be told */
    uint64_t gaps;   /* all of them */
    struct log_gap longest;
    struct log_gap first_gaps[LOG_GAPS_KEPT]; /* the first ones, in time order */
    size_t n_first_gaps;
    uint64_t power_ups;   /* of a logger that counts since its start */
    uint64_t wraps;       /* of that count */
    size_t sets;          /* times that the clock was set, as stated, between two rows */
    int64_t stamp_step_us; /* with rows per stamp: between stamps; else 0 */
    int64_t shift_us;     /* from a stamp to the middle of its interval */
    struct log_late {  /* rows that came late and were put in their place (ingest/queue.h) */
        uint64_t n;
        int64_t most_us;        /* longest before the newest row then */
        struct log_place first; /* to come */
    } late;
    struct log_merged { /* rows of several files that lie between each other's (ingest/turns.h) */
        uint64_t turns; /* times that a file went on after rows of another one */
        struct log_place first; /* the first row after such a turn */
    } merged;
    uint64_t falls; /* times that the clock was put back between two rows */
    struct log_place before_fall; /* the first time */
    struct log_place after_fall;
};

void log_account_init(struct log_account *account);
void log_account_free(struct log_account *account); /* safe twice */

/* Counts a block's readings by their flags, and widens the ranges of the good ones.
 * In:      list, n   the channels to count, present in the block */
void log_account_count(struct log_account *account, const struct block *block,
                       const enum channel *list, size_t n);

#endif
