/* Guess: a column's name and its field in a units row -> the channel and unit that it seems to
 * carry, and why.
 */
#ifndef DRAFT_GUESS_H
#define DRAFT_GUESS_H

#include "domain/head_unit.h"

#include <stdbool.h>

enum guess_kind {
    GUESS_NONE,      /* nothing in the name speaks for a channel, or something speaks against it */
    GUESS_CHANNEL,   /* channel; unit where the name says one */
    GUESS_OTHER_UNIT /* the words say a channel, the unit does not suit it: not used */
};

enum { GUESS_WHY_SIZE = 200, GUESS_ASK_SIZE = 300, GUESS_STEP_SIZE = 40 };

/* What supports a guess, the strongest first. */
enum guess_by { GUESS_BY_WORD, GUESS_BY_UNIT, GUESS_BY_NUMBERS };

struct guess {
    enum guess_kind kind;
    enum channel channel;
    enum guess_by by;
    const struct unit *unit;   /* of the channel's dimension, or of a volume or an energy: a meter's
                                  total;   NULL: not known, or a raw signal */
    const struct unit *pulses; /* of pulses: the log holds those of a flow meter; else NULL */
    bool refused;              /* a word says that it is no reading of the collector */
    bool raw;                  /* the log holds a signal: its gain must be stated */
    char unit_text[HEAD_UNIT_SIZE]; /* as in the log, "" if it says none */
    char why[GUESS_WHY_SIZE];       /* half a sentence: "the word 'in' and the unit 'C'" */
    char unit_why[GUESS_WHY_SIZE];  /* why this unit, for a remark: "'C' in the column's name" */
    char step[GUESS_STEP_SIZE];     /* of a meter's total: "0.001 m3"; "" where it is none */
    char step_why[GUESS_WHY_SIZE];
    char unit_ask[GUESS_ASK_SIZE];  /* what stands between two units; "": nothing was found */
};

/* In: unit_row   what stands below the name in a row of units; "" where there is none */
void guess_column(const char *name, const char *unit_row, struct guess *guess);

/* The unit in which people mostly state a channel: "L/min". */
const struct unit *guess_usual_unit(enum channel channel);

/* Whether the column is taken for a total that only rises. */
bool guess_is_total(const struct guess *guess);

#endif
