/* Words: what the words of a column's name say about its channel. One table that a specialist can
 * extend; English and the usual symbols only.
 */
#ifndef DOMAIN_WORDS_H
#define DOMAIN_WORDS_H

#include "domain/channel.h"

#include <stdbool.h>
#include <stddef.h>

enum { WORDS_MAX = 24, WORDS_NAME_SIZE = 192 };

/* A name cut into words: at whatever is neither letter nor digit, between letters and digits, and
 * before the capital of "tIn" and of "TIn". */
struct name_words {
    char bytes[2 * WORDS_NAME_SIZE];
    const char *word[WORDS_MAX]; /* into bytes, letter case kept */
    size_t n;
};

/* A name that is too long gives no words. */
void words_cut(const char *name, struct name_words *words);

/* Whether one of a name's words is one of these n, in whatever letter case. */
bool words_any(const char *name, const char *const *words, size_t n);

struct word_row {
    const char *words; /* one, or several that follow each other: "t a"; a capital counts as such */
    enum channel channel;
    int weight; /* "diffuse" says more than "in" */
};
const struct word_row *words_table(size_t *n);

/* What speaks for a channel. */
struct word_claim {
    int weight;        /* sum over the rows that were found; 0: none */
    const char *words; /* of the heaviest row */
};
void words_claims(const struct name_words *words, struct word_claim claims[CH_LOGGED]);

/* A word that says "not a reading of the collector": battery, direction, maximum.
 * Returns: NULL if there is none. */
const char *words_refusal(const struct name_words *words);

/* Whether a word says "temperature", so that only thermometers are meant. */
bool words_temperature(const struct name_words *words);

/* A word that says of a power or an energy that it is not the heat of the collector; NULL if none
 * does. */
const char *words_electric(const struct name_words *words);

/* Whether a word says "pulses" or "counter". */
bool words_pulses(const struct name_words *words);

#endif
