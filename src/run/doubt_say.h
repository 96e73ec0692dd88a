/* Words of a doubt, for those who doubt a result: as a warning on standard error, and marked at the
 * top of the document.
 */
#ifndef RUN_DOUBT_SAY_H
#define RUN_DOUBT_SAY_H

#include "result/document.h"
#include "run/efficiency_doubts.h"

/* "'Plate B': " where several are told of, else "". size >= DOUBTED_NAME_SIZE. Returns: out */
const char *doubt_who(const struct doubted *of, char *out, size_t size);

/* Warns at the run, and says "FOUND. What to do: HINT." in the document.
 * In:      opening  "This cannot be true as it stands: ", or "" where found begins with a capital
 *          found, hint  without a full stop
 * Returns: false only when memory is short */
bool doubt_say(const struct doubted *of, const char *opening, const char *found, const char *hint,
               struct document *doc, struct faults *faults);

#endif
