/* Limits by which readings are screened: one row a channel, our own figures, each with its reason.
 */
#ifndef INGEST_SCREEN_LIMITS_H
#define INGEST_SCREEN_LIMITS_H

#include "domain/channel.h"

#include <stdbool.h>
#include <stdint.h>

/* A run of the same number is judged when it has this many rows, whatever its time. */
enum { SCREEN_STUCK_ROWS = 60, SCREEN_STUCK_ROWS_STATED = 3, SCREEN_SATURATED_ROWS = 30 };

/* Codes in a row that still stand apart; readings that far away in time are no neighbours. */
enum { SCREEN_CODES_MOST = 59, SCREEN_NEAR_S = 120 };

enum { SCREEN_STUCK_S = 1800, SCREEN_SATURATED_S = 600 };

struct screen_limits {
    double jump_si; /* a reading further than this from both neighbours stands apart; 0: the
                       channel may jump as it likes */
    bool spike;     /* ... and is set aside whatever it reads, not only if it is a code */
    double fine_si; /* steps up to fine_si + fine_share * |reading| are so fine that the channel */
    double fine_share; /* flickers; both 0: it may rest, and is never stuck unless that is stated */
    double rest_si;    /* up to this (either way) it rests: night, calm, no flow; 0: never, and a
                          reading of 0 is one like others */
    double plateau_si; /* a plateau at the highest reading, if it is this or more, is told apart; 0:
                          never */
    const char *why;
};

const struct screen_limits *screen_limits(enum channel channel);

#endif
