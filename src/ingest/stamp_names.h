/* Stamp names: the names of months and days of the week in stamps.
 *
 * Read are those of Croatian, Czech, Danish, Dutch, English, Finnish, French, German, Hungarian,
 * Italian, Norwegian, Polish, Portuguese, Romanian, Slovak, Slovenian, Spanish, Swedish and
 * Turkish, in the forms that stand in a date, whole or cut to three letters or more; capitals and
 * the signs upon letters are passed over (base/fold.h). A word that two of these languages, or two
 * months of one, have in common is no month: "lipiec" is, "lip" is July in Polish and June in
 * Croatian; "juin" is, "jui" is not.
 * Source: the locales of the GNU C library 2.36 (LC_TIME: mon, abmon, alt_mon, day, abday), and
 * spellings such as "Maerz" from memory.
 */
#ifndef INGEST_STAMP_NAMES_H
#define INGEST_STAMP_NAMES_H

#include <stdbool.h>

enum { MONTH_UNKNOWN = 0, MONTH_OF_TWO = -1 };

/* Takes a word.
 * Out:     at      behind its last letter
 * Returns: 1 to 12; MONTH_UNKNOWN; MONTH_OF_TWO */
int stamp_month_take(const char **at, const char *end);

/* Returns: whether it was a day's name */
bool stamp_day_take(const char **at, const char *end);

/* "English, German, ...": in which names are read. */
const char *stamp_names_languages(void);

#endif
