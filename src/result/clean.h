/* Clean text: what a user wrote, made fit for every writer.
 *
 * The document keeps only clean texts: well-formed UTF-8 (each bad byte becomes U+FFFD) on one line
 * (control characters, C0, DEL and C1, become blanks).
 */
#ifndef RESULT_CLEAN_H
#define RESULT_CLEAN_H

#include "base/faults.h"
#include "base/text.h"

#include <stddef.h>
#include <stdint.h>

/* Reads one character of a UTF-8 string that ends in NUL.
 * Out:     character   the code point; 0xFFFD for a bad byte (overlong, surrogate, cut off ...) and for
 *                      U+FFFE and U+FFFF, which XML forbids
 * Returns: bytes taken, 1 to 4; 0 at the end. */
size_t clean_next(const char *bytes, uint32_t *character);

/* Appends `string` cleaned; at most `limit` characters (0: no limit). */
void clean_add(struct text *out, const char *string, size_t limit);

/* A clean copy; NULL gives an empty one. The caller frees.
 * Returns: NULL with a machine fault. */
char *clean_copy(const char *string, struct faults *faults);

#endif
