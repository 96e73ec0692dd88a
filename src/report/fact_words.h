/* Facts as people read them: those that say "not stated" together, numbers with four digits.
 */
#ifndef REPORT_FACT_WORDS_H
#define REPORT_FACT_WORDS_H

#include "base/text.h"
#include "result/document.h"

#include <stdbool.h>

#define FACT_SIZE 64

/* Whether the description is silent: the value is "not stated" and nothing else. */
bool fact_silent(const struct fact *fact);

/* The value; a number whose key names its unit in brackets ("area (m2)") with four digits.
 * Returns: borrowed from the fact, or in `buffer`. */
const char *fact_words(const struct fact *fact, char buffer[FACT_SIZE]);

/* Appends "number, signatory" to an empty text: the keys of a group's silent facts. */
void fact_silent_keys(const struct document *doc, const char *group, struct text *out);

#endif
