/* The text of a points table: a file -> records, each with its line, and how the file writes them.
 *
 * The separator is the one by which most heads are known (comma, semicolon or tab); the heads may
 * stand below lines of a title. The decimal sign is the one that most numbers have. A quoted field
 * may run over line ends. Remark lines (#) are passed over.
 */
#ifndef POINT_POINTS_TEXT_H
#define POINT_POINTS_TEXT_H

#include "base/faults.h"
#include "base/hash.h"
#include "base/text.h"

#include <stdbool.h>
#include <stddef.h>

enum { POINTS_BYTES_MAX = 4 << 20, POINTS_QUOTED_LINES_MAX = 20 };

/* A record: usually one line. */
struct points_record {
    size_t start; /* in the text; bytes[start + n] is '\n' */
    size_t n;
    long line; /* on which it begins */
};

struct points_text {
    struct text bytes;
    struct points_record *records;
    size_t n;
    size_t capacity;
    size_t heads; /* which record holds the heads; n if there is none */
    char separator;
    char decimal;
};

/* Reads the file (ingest/lines.h: UTF-8, UTF-16, any line ends) and finds out how it is written.
 * Out:     hex   SHA-256 of the file
 * Returns: false with faults: unreadable, over POINTS_BYTES_MAX, lines that are not text. */
bool points_text_read(struct points_text *text, const char *path, char hex[HASH_HEX_SIZE],
                      struct faults *faults);

void points_text_free(struct points_text *text); /* safe twice, and on {0} */

const char *points_separator_word(char separator); /* "comma", "semicolon", "tab" */

#endif
