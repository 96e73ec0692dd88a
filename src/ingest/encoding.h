/* Encoding: how a log's bytes stand for characters: as stated, or as they look. Turning them into
 * UTF-8 is ingest/recode.h.
 */
#ifndef INGEST_ENCODING_H
#define INGEST_ENCODING_H

#include <stdbool.h>
#include <stddef.h>

enum encoding {
    ENCODING_AUTOMATIC, /* UTF-16 if it looks like that, else as it stands */
    ENCODING_UTF_8,
    ENCODING_UTF_16LE,
    ENCODING_UTF_16BE,
    ENCODING_LATIN_1,
    ENCODING_WINDOWS_1252,
    ENCODING_CP850,
    ENCODINGS
};

/* "UTF-16LE", as iconv(1) and users call it. */
const char *encoding_name(enum encoding encoding);

bool encoding_is_utf_16(enum encoding encoding);

/* UTF-16 by its mark, or by NUL bytes at every other place of ASCII text; else ENCODING_AUTOMATIC.
 * In:      bytes, n  of the file's beginning */
enum encoding encoding_guess(const char *bytes, size_t n);

#endif
