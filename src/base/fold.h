/* Fold: a word as its bare letters a to z, so that "Août", "AOUT" and "aout" are one.
 *
 * Letters of the Latin blocks up to U+017F and U+0218 to U+021B count, in UTF-8 or, byte by byte
 * where it is none, in Windows-1252; a sign above or below a letter is left out, also where it is a
 * character of its own (U+0300 to U+036F).
 */
#ifndef BASE_FOLD_H
#define BASE_FOLD_H

#include <stddef.h>

enum { FOLD_WORD_SIZE = 24 };

/* Reads letters until something else comes.
 * Out:     word   NUL at its end; "" if no letter stands there or it has FOLD_WORD_SIZE or more
 * Returns: the byte behind the last letter; at if there is none */
const char *fold_word(const char *at, const char *end, char word[FOLD_WORD_SIZE]);

#endif
