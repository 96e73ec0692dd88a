/* Draft log: everything that is known of some logs before a word is written. What finds it is
 * draft/draft_read.h.
 */
#ifndef DRAFT_DRAFT_LOG_H
#define DRAFT_DRAFT_LOG_H

#include "draft/clock.h"
#include "draft/guess.h"
#include "draft/measure.h"
#include "draft/sample.h"

#include <stdbool.h>
#include <stddef.h>

struct draft_column {
    struct guess guess;
    struct measure measure;
    const char *trouble; /* why a description cannot name it; NULL if it can */
};

enum { DRAFT_REASON_SIZE = 300, DRAFT_DOUBTS = 9 };

struct draft_log {
    const char *const *logs; /* borrowed */
    size_t n_logs;
    const char *beside; /* the description's path, borrowed; NULL: it stands beside the first log */
    struct sample sample;
    struct clock clock;
    struct draft_column *columns; /* sample.head.n */
    double *value; /* by column, then row: numbers as written, NaN where there is none */
    /* The column chosen for each channel: the first that a word supports, else the first that only
     * its unit supports, else what the numbers say; head.n where there is none. */
    size_t chosen[CH_LOGGED];

    bool homemade;                     /* rules of our own are proposed (draft/advice.h) */
    char rules_why[DRAFT_REASON_SIZE]; /* half a sentence; "" where the rows do not tell */
    char doubt[DRAFT_DOUBTS][DRAFT_REASON_SIZE]; /* what looks wrong, a sentence each */
    size_t n_doubts;
};

void draft_log_free(struct draft_log *log); /* safe twice, and on {0} */

/* Whether a column was taken for a channel's, and a description can name it. */
bool draft_log_claims(const struct draft_log *log, size_t column, enum channel channel);

/* Whether it claims one for which another was chosen. */
bool draft_log_rival(const struct draft_log *log, size_t column);

/* A channel's column; NULL if none was chosen. */
struct draft_column *draft_log_column(const struct draft_log *log, enum channel channel);

/* A channel's number in a row as written, or in SI; NaN where there is none, its unit is not known
 * or it is a total. */
double draft_log_number(const struct draft_log *log, enum channel channel, size_t row);
double draft_log_si(const struct draft_log *log, enum channel channel, size_t row);

/* Whether the sun shone in a row: at least half of the largest irradiance. False without a column
 * of it. */
bool draft_log_sunny(const struct draft_log *log, size_t row);

/* Adds a doubt; past the last place it is dropped. */
void draft_log_doubt(struct draft_log *log, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

/* The names that a description gives to a channel's instrument: "sun", "inlet". */
const char *draft_instrument_name(enum channel channel);

#endif
