/* Physical lines of a description held in memory, and what in them is content.
 */
#ifndef DESCRIPTION_LINE_H
#define DESCRIPTION_LINE_H

#include "base/faults.h"

#include <stdbool.h>
#include <stddef.h>

struct line_source {
    const char *next; /* bytes not yet seen */
    const char *end;
    long line;        /* number of the line taken last, 0 before the first */
};

/* Starts behind a byte order mark, if there is one. */
struct line_source line_source_of(const char *bytes, size_t n);

/* One line without its end: LF, CRLF or CR. Returns: false after the last one. */
bool line_take(struct line_source *source, const char **line, size_t *n);

/* Cuts a comment ('#' at the start or after a blank) and outer blanks. */
void line_cut_comment(const char **line, size_t *n);

/* Space or tab. */
bool line_is_blank(char c);

/* Place of `where` inside a line: its column counts characters. */
struct place line_place(const char *file, long line, const char *start, const char *where);

/* Whether the whole is UTF-8 text with something in it.
 * Returns: false with one input fault for the whole file: empty, a control character, not UTF-8. */
bool line_check_text(struct line_source source, const char *file, struct faults *faults);

#endif
