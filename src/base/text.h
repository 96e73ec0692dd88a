/* Text: a growing string with one owner, and small questions about UTF-8 strings.
 *
 * A struct text is empty after text_init (or = {0}); text_free empties it again. An append that runs
 * out of memory sets `failed` and later appends do nothing, so that a writer checks once at its end
 * with text_ok.
 */
#ifndef BASE_TEXT_H
#define BASE_TEXT_H

#include "base/faults.h"

#include <stdbool.h>
#include <stddef.h>

struct text {
    char *bytes; /* always ends in NUL once anything was appended; NULL while empty */
    size_t length;
    size_t capacity;
    bool failed;
};

void text_init(struct text *text);
void text_free(struct text *text);
void text_clear(struct text *text); /* length 0, memory kept */
void text_add(struct text *text, const char *string);
void text_add_bytes(struct text *text, const char *bytes, size_t n);
void text_addf(struct text *text, const char *format, ...) __attribute__((format(printf, 2, 3)));
const char *text_string(const struct text *text); /* "" while empty; borrowed */

/* Returns: false with a machine fault if an append failed. */
bool text_ok(const struct text *text, struct faults *faults);

/* A copy on the heap, NULL with a machine fault when out of memory. The caller frees. */
char *text_copy(const char *string, struct faults *faults);
char *text_copyf(struct faults *faults, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

/* Characters of a UTF-8 string (bytes that do not continue another); n bytes, or up to NUL. */
size_t text_characters(const char *bytes, size_t n);
bool text_is_utf8(const char *bytes, size_t n);

/* Cuts blanks (space, tab) off both ends in place. Returns: the start inside `string`. */
char *text_trim(char *string);

bool text_same(const char *a, const char *b);           /* letter for letter */
bool text_same_nocase(const char *a, const char *b);    /* ASCII letters folded */
bool text_starts(const char *string, const char *head); /* letter for letter */

/* The nearest of n names, if it is near enough to be what was meant (edit distance at most 1 for
 * words up to 4 letters, 2 up to 8, else 3; ASCII case ignored). Returns: NULL if none is. */
const char *text_nearest(const char *word, const char *const *names, size_t n);

#endif
