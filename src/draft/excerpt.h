/* Excerpt: the lines of a log that a draft looks at: all of a short log; of a long one those of its
 * beginning, middle and end, so that neither time nor memory grows with the log.
 *
 * Blank lines and '#' comments are left out, but for the last comment above the first line. A line
 * that is not UTF-8 is taken as Windows-1252. Lines within quotes are joined near the beginning,
 * where the names stand. A packed file or one in UTF-16 is looked at from its beginning.
 */
#ifndef DRAFT_EXCERPT_H
#define DRAFT_EXCERPT_H

#include "base/faults.h"
#include "base/text.h"

#include <stdbool.h>
#include <stddef.h>

/* A log of up to 2 * EXCERPT_BYTES is read whole when it is the only one; of a longer one
 * EXCERPT_BYTES. Several share this; each has EXCERPT_LEAST. */
enum {
    EXCERPT_BYTES = 2 << 20,
    EXCERPT_LEAST = 64 << 10,
    EXCERPT_LINES_MAX = 200000,
    EXCERPT_COMMENTS = 40
};

enum excerpt_part { EXCERPT_HEAD, EXCERPT_MIDDLE, EXCERPT_TAIL };

struct excerpt_line {
    size_t at; /* into bytes; bytes[at + n] is '\n' */
    size_t n;
    long number; /* in its file; 0 in the middle and the tail, where nobody has counted */
    enum excerpt_part part;
    bool comment; /* it stood behind a '#' */
};

struct excerpt {
    const char *path; /* borrowed */
    struct text bytes;
    struct excerpt_line *line;
    size_t n;
    size_t capacity;
    bool whole;     /* the lines are all that there are */
    bool converted; /* some line was not UTF-8 */
    size_t n_odd;   /* lines left out since they hold a NUL byte or are too long */
    long first_odd; /* number of the first; 0: not in the head */
};

/* In:      most    bytes to look at
 * Returns: false with an input fault (absent, a directory, empty, binary: ingest/lines.h) or a
 *          machine fault; excerpt_free is due either way */
bool excerpt_read(struct excerpt *excerpt, const char *path, size_t most, struct faults *faults);
void excerpt_free(struct excerpt *excerpt); /* safe twice */

/* The bytes of a line. Borrowed. */
const char *excerpt_bytes(const struct excerpt *excerpt, size_t line);

#endif
