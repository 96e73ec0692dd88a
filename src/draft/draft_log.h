/* Draft log: everything that is known of some logs before a word is written.
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

struct draft_log {
    const char *const *logs; /* borrowed */
    size_t n_logs;
    struct sample sample;
    struct clock clock;
    struct draft_column *columns; /* sample.header.n */
    /* The column chosen for each channel: the first that a word supports, else the first that only
     * its unit supports; header.n where there is none. */
    size_t chosen[CH_LOGGED];
};

bool draft_log_read(struct draft_log *log, const char *const *logs, size_t n,
                    struct faults *faults);
void draft_log_free(struct draft_log *log); /* safe twice, and after a failed read */

/* Whether a column claims a channel for which another was chosen. */
bool draft_log_rival(const struct draft_log *log, size_t column);

/* The names that a description gives to a channel's instrument: "sun", "inlet". */
const char *draft_instrument_name(enum channel channel);

/* Appends text of a log for people: control characters and broken UTF-8 as '?'. */
void draft_add_clean(struct text *out, const char *string);

#endif
