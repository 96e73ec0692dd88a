/* Text: a growing string with one owner, and small questions about UTF-8 strings.
 *
 * A struct text is empty after text_init (or = {0}); text_free empties it again. An append that
 * runs out of memory sets `failed` and later appends do nothing, so that a writer checks once at
 * its end with text_ok.
 *
 * A long text need not be held: with text_drain what was appended is handed on piece by piece.
 */
#ifndef BASE_TEXT_H
#define BASE_TEXT_H

#include "base/faults.h"

#include <stdbool.h>
#include <stddef.h>

/* Takes bytes over. Returns: false if it could not; it is not called again. */
typedef bool text_taker(void *state, const char *bytes, size_t n);

struct text {
    char *bytes; /* always ends in NUL once anything was appended; NULL while empty */
    size_t length;
    size_t capacity;
    bool failed;
    text_taker *take; /* NULL: everything is kept */
    void *taker;
    bool refused; /* `failed` because take returned false */
};

void text_init(struct text *text);
void text_free(struct text *text);
void text_clear(struct text *text); /* length 0, memory kept */
void text_add(struct text *text, const char *string);
void text_add_bytes(struct text *text, const char *bytes, size_t n);
void text_addf(struct text *text, const char *format, ...) __attribute__((format(printf, 2, 3)));
const char *text_string(const struct text *text); /* "" while empty; borrowed */

/* From now on `take` gets the bytes whenever some 32 KiB have come together; a writer that looks
 * back at what it wrote can count on the line in progress only. Call text_flush for the rest. */
void text_drain(struct text *text, text_taker *take, void *state);
void text_flush(struct text *text);

/* Returns: false with a machine fault if an append failed; without one if `take` refused, since
 * only the taker knows why. */
bool text_ok(const struct text *text, struct faults *faults);

/* `out` has failed if `part`, which went into it, has: for parts that are not asked themselves. */
void text_fail_with(struct text *out, const struct text *part);

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
