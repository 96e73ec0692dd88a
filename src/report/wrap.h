/* Lines of at most 80 characters: wrapped paragraphs with a hanging head.
 */
#ifndef REPORT_WRAP_H
#define REPORT_WRAP_H

#include "base/text.h"

#include <stddef.h>

enum { WRAP_WIDTH = 80 };

/* The bytes of `string` that fit on a line of `width` characters: up to the last blank, or, in a
 * word that is longer than the line, up to the width. Out: *next, where the next line begins
 * (blanks skipped). Returns: the bytes, blanks at their end not counted. width >= 1. */
size_t wrap_line(const char *string, size_t width, const char **next);

/* `head` (padded to `indent` characters) and `string`; later lines stand at `indent` + `hang`. A
 * head of more than half a line stands on a line of its own. */
void wrap_add(struct text *out, const char *head, size_t indent, size_t hang, const char *string);

/* Whole lines: those of more than WRAP_WIDTH characters go on below the last gap of two or more
 * blanks in their left half, as in a table whose last column is words; without one, two blanks in.
 */
void wrap_lines(struct text *out, const char *lines);

/* `string` and blanks up to `width` characters. */
void wrap_pad(struct text *out, const char *string, size_t bytes, size_t width);

#endif
