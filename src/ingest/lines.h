/* Lines: a file's text (ingest/source.h) -> physical lines, numbered from 1.
 *
 * A line ends at LF, CR LF or CR. Memory is one buffer of 128 KiB that grows to LINE_BYTES_MAX at
 * most; a longer line is skipped to its end and said to be so. A half line at the end of a file
 * that has grown since it was opened is left out, since its other half is being written.
 */
#ifndef INGEST_LINES_H
#define INGEST_LINES_H

#include "base/faults.h"
#include "ingest/source.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { LINE_BYTES_MAX = 1 << 20 };

enum line_status {
    LINE_TEXT,     /* a line, perhaps empty */
    LINE_END,      /* no more lines */
    LINE_TOO_LONG, /* bytes, n: its beginning; the rest was skipped */
    LINE_NUL,      /* holds a NUL byte; bytes, n are the whole line */
    LINE_FAILED    /* the machine could not, or the file is damaged: a fault was added */
};

struct line {
    char *bytes;   /* belongs to the reader, good until the next call; bytes[n] is '\n' */
    size_t n;      /* without the line's end */
    long number;   /* 1-based */
    bool finished; /* false: the file ends without a line end here */
};

struct lines {
    const char *path; /* borrowed, for faults */
    struct source source;
    char *buffer;
    size_t capacity; /* one byte more is allocated, for the '\n' after the last line */
    size_t start;    /* of what is not yet handed out */
    size_t end;
    size_t next_lf; /* cache: position of the first LF at or after start, or end if there is none */
    bool lf_known;
    bool exhausted;
    bool after_cr;
    long number;
    uint64_t fills; /* times that the buffer's content was moved or added to */
};

/* Opens a regular file. path is borrowed until lines_close.
 * Returns: false with the faults of source_open. */
bool lines_open(struct lines *lines, const char *path, bool hashing, struct faults *faults);

/* The same where the encoding is stated. */
bool lines_open_as(struct lines *lines, const char *path, enum encoding encoding, bool hashing,
                   struct faults *faults);

/* The same from memory (borrowed until lines_close); `name` stands in faults. */
bool lines_open_memory(struct lines *lines, const char *name, const char *bytes, size_t n,
                       struct faults *faults);

enum line_status lines_next(struct lines *lines, struct line *line, struct faults *faults);

/* Looks ahead: the bytes that lines_next would begin with, up to a NUL that is not of the file.
 * Returns: NULL if a line feed may still belong to the line before. */
const char *lines_peek(struct lines *lines);

/* Hands out the next line, of which lines_peek showed all: n bytes without NUL and line end,
 * then a line end of `tail` bytes (LF, or CR LF). */
void lines_take(struct lines *lines, size_t n, size_t tail, struct line *line);

/* Where the reader stood, to go back to while the line given last is still current. */
struct lines_mark {
    size_t back; /* bytes from the line's first to the next line's */
    long number;
    bool after_cr;
    bool finished;
};
struct lines_mark lines_mark(const struct lines *lines, const struct line *line);

/* Lengthens the line given last by the next one; the line end between them stays as it is. bytes[n]
 * is then '\n', '\r' or, at the file's end, '\n' behind its last byte. Returns: LINE_TEXT; LINE_END
 * if there is no next one, LINE_TOO_LONG or LINE_NUL if it would be so (the line is then as
 * before), or LINE_FAILED. */
enum line_status lines_extend(struct lines *lines, struct line *line, struct faults *faults);

/* Takes lengthenings back: line is as lines_next gave it, n0 bytes long. */
void lines_shorten(struct lines *lines, struct line *line, size_t n0,
                   const struct lines_mark *mark);

/* Gives the line of lines_next back: the next call gives it again. */
void lines_return(struct lines *lines, const struct line *line);

/* Passes over n lines that take `bytes` with their ends, all of them in the buffer. */
void lines_pass(struct lines *lines, size_t bytes, size_t n);

/* After LINE_END, once: the hash of all bytes. The lines were opened with hashing. */
void lines_digest(struct lines *lines, char hex[HASH_HEX_SIZE]);

void lines_close(struct lines *lines); /* safe twice */

#endif
