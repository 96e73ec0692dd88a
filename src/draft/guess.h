/* Guess: a column's name -> the channel and unit that it seems to carry, and why.
 */
#ifndef DRAFT_GUESS_H
#define DRAFT_GUESS_H

#include "draft/head_unit.h"

#include <stdbool.h>

enum guess_kind {
    GUESS_NONE,      /* nothing in the name speaks for a channel, or something speaks against it */
    GUESS_CHANNEL,   /* channel; unit where the name says one */
    GUESS_OTHER_UNIT /* the words say a channel, the unit does not suit it: not used */
};

enum { GUESS_WHY_SIZE = 200 };

struct guess {
    enum guess_kind kind;
    enum channel channel;
    const struct unit *unit; /* of the channel's dimension; NULL: not said, or a raw signal */
    bool raw;                /* the log holds a signal: its gain must be stated */
    bool by_unit_alone;      /* weaker than any guess that a word supports */
    char unit_text[HEAD_UNIT_SIZE]; /* as in the name, "" if it says none */
    char why[GUESS_WHY_SIZE];       /* half a sentence: "'in' in its name, 'C' at its end" */
};

void guess_column(const char *name, struct guess *guess);

/* The unit in which people mostly state a channel: "L/min". */
const struct unit *guess_usual_unit(enum channel channel);

#endif
