/* Dialect: the sign between a log's fields and the decimal sign of its numbers, found together.
 *
 * Every pair is tried on lines from all over the log. The right one cuts all lines into the same
 * number of fields and leaves numbers and times in them. Two pairs that do so equally well are a
 * tie: it is refused, since one of them would give wrong numbers without a word.
 */
#ifndef DRAFT_DIALECT_H
#define DRAFT_DIALECT_H

#include "draft/excerpt.h"

#include <stdbool.h>
#include <stddef.h>

struct dialect {
    char separator;    /* ',' ';' '\t'; in a pinned dialect '\0': to be found */
    char decimal;      /* '.' ',' */
    size_t n_decimals; /* numbers with a decimal sign; 0: either sign would do */
    size_t n_lines;    /* on which it was tried */
    size_t fields;     /* that most of them have */
    double understood; /* share of all cells that stand in such lines and are numbers, times or
                          "no reading" */
};

/* In:      pinned   what the user has said: separator or decimal '\0' where nothing; NULL: nothing
 * Returns: false with an input fault (a tie, one column only, blanks between the fields) or a
 *          machine fault */
bool dialect_find(const struct excerpt *excerpt, const struct dialect *pinned,
                  struct dialect *dialect, struct faults *faults);

/* "comma", "semicolon", "tab"; "point": as a description and the options have them. */
const char *dialect_separator_word(char separator);
const char *dialect_decimal_word(char decimal);

/* Returns: '\0' if the word is none of them. */
char dialect_separator_of(const char *word);
char dialect_decimal_of(const char *word);

#endif
