#include "ingest/lines.h"

#include <stdlib.h>
#include <string.h>

/* KEPT_BYTES of an over-long line are kept; ROOM_LEAST bytes are room for a character. */
enum {
    BUFFER_BYTES = 128 * 1024,
    ROOM_LEAST = 8,
    BUFFER_MOST = LINE_BYTES_MAX + 2 + ROOM_LEAST,
    KEPT_BYTES = 256
};

/* Fills the buffer from `end` to its capacity with one read. */
static bool read_more(struct lines *lines, struct faults *faults)
{
    size_t n;
    char *out = lines->buffer + lines->end;
    if (!source_read(&lines->source, out, lines->capacity - lines->end, &n, faults))
        return false;
    lines->exhausted = n == 0;
    lines->end += n;
    lines->lf_known = false;
    lines->fills++;
    lines->buffer[lines->end] = '\0';
    return true;
}

/* Makes room behind `end`: moves what is left to the front, or enlarges the buffer. */
static bool make_room(struct lines *lines, struct faults *faults)
{
    if (lines->start > 0) {
        memmove(lines->buffer, lines->buffer + lines->start, lines->end - lines->start);
        lines->end -= lines->start;
        lines->start = 0;
        lines->lf_known = false;
        lines->buffer[lines->end] = '\0';
    }
    if (lines->capacity - lines->end >= ROOM_LEAST)
        return true;
    size_t capacity = lines->capacity * 2 < BUFFER_MOST ? lines->capacity * 2 : BUFFER_MOST;
    char *buffer = realloc(lines->buffer, capacity + 1);
    if (buffer == NULL)
        return fault_memory(faults);
    lines->buffer = buffer;
    lines->capacity = capacity;
    return true;
}

static bool start(struct lines *lines, struct faults *faults)
{
    lines->buffer = malloc(BUFFER_BYTES + 1);
    lines->capacity = BUFFER_BYTES;
    bool ok = lines->buffer != NULL || fault_memory(faults);
    if (ok)
        lines->buffer[0] = '\0';
    ok = ok && read_more(lines, faults);
    if (!ok)
        lines_close(lines);
    return ok;
}

bool lines_open_as(struct lines *lines, const char *path, enum encoding encoding, bool hashing,
                   struct faults *faults)
{
    memset(lines, 0, sizeof *lines);
    lines->path = path;
    return source_open(&lines->source, path, encoding, hashing, faults) && start(lines, faults);
}

bool lines_open(struct lines *lines, const char *path, bool hashing, struct faults *faults)
{
    return lines_open_as(lines, path, ENCODING_AUTOMATIC, hashing, faults);
}

bool lines_open_memory(struct lines *lines, const char *name, const char *bytes, size_t n,
                       struct faults *faults)
{
    memset(lines, 0, sizeof *lines);
    lines->path = name;
    return source_open_memory(&lines->source, name, bytes, n, ENCODING_AUTOMATIC, false, faults) &&
           start(lines, faults);
}

/* Where the line that begins at start ends: its CR or LF, or `end` if there is none yet. The place
 * of the LF is kept: a file with CR alone would otherwise be searched to the buffer's end at each
 * line. */
static size_t find_end(struct lines *lines)
{
    const char *from = lines->buffer + lines->start;
    if (!lines->lf_known || lines->next_lf < lines->start) {
        const char *lf = memchr(from, '\n', lines->end - lines->start);
        lines->next_lf = lf == NULL ? lines->end : (size_t)(lf - lines->buffer);
        lines->lf_known = true;
    }
    const char *cr = memchr(from, '\r', lines->next_lf - lines->start);
    return cr == NULL ? lines->next_lf : (size_t)(cr - lines->buffer);
}

static enum line_status give(struct lines *lines, size_t stop, struct line *line)
{
    char *bytes = lines->buffer + lines->start;
    size_t n = stop - lines->start;
    line->finished = stop < lines->end;
    lines->after_cr = line->finished && lines->buffer[stop] == '\r';
    lines->buffer[stop] = '\n';
    lines->start = line->finished ? stop + 1 : stop;
    line->bytes = bytes;
    line->n = n;
    line->number = ++lines->number;
    if (n > LINE_BYTES_MAX)
        return LINE_TOO_LONG;
    return memchr(bytes, '\0', n) == NULL ? LINE_TEXT : LINE_NUL;
}

/* Reads on to the end of an over-long line, keeping its beginning. */
static enum line_status skip_long(struct lines *lines, struct line *line, struct faults *faults)
{
    memmove(lines->buffer, lines->buffer + lines->start, KEPT_BYTES);
    size_t stop;
    do {
        lines->start = lines->end = KEPT_BYTES;
        if (!read_more(lines, faults))
            return LINE_FAILED;
        stop = find_end(lines);
    } while (stop == lines->end && !lines->exhausted);
    lines->start = 0;
    give(lines, stop, line);
    line->n = KEPT_BYTES;
    line->bytes[KEPT_BYTES] = '\n';
    return LINE_TOO_LONG;
}

/* The LF of a CR LF, which may have come into the buffer by now. */
static void pass_line_feed(struct lines *lines)
{
    if (!lines->after_cr || lines->start == lines->end)
        return;
    lines->start += lines->buffer[lines->start] == '\n';
    lines->after_cr = false;
}

enum line_status lines_next(struct lines *lines, struct line *line, struct faults *faults)
{
    for (;;) {
        pass_line_feed(lines);
        size_t stop = find_end(lines);
        if (stop < lines->end)
            return give(lines, stop, line);
        if (lines->exhausted && lines->start < lines->end && raw_has_grown(&lines->source.raw))
            lines->start = lines->end; /* a half line that is being written */
        if (lines->exhausted)
            return lines->start == lines->end ? LINE_END : give(lines, stop, line);
        if (lines->end - lines->start > LINE_BYTES_MAX)
            return skip_long(lines, line, faults);
        if (!make_room(lines, faults) || !read_more(lines, faults))
            return LINE_FAILED;
    }
}

const char *lines_peek(struct lines *lines)
{
    pass_line_feed(lines);
    return lines->after_cr ? NULL : lines->buffer + lines->start;
}

void lines_take(struct lines *lines, size_t n, size_t tail, struct line *line)
{
    line->bytes = lines->buffer + lines->start;
    line->n = n;
    line->number = ++lines->number;
    line->finished = true;
    lines->start += n + tail;
}

struct lines_mark lines_mark(const struct lines *lines, const struct line *line)
{
    return (struct lines_mark){.back = (size_t)(lines->buffer + lines->start - line->bytes),
                               .number = lines->number,
                               .after_cr = lines->after_cr,
                               .finished = line->finished};
}

/* From where on the next line would be searched, seen from the line's first byte. Reads on until a
 * line end stands there or the file ends; the line may move in memory. Returns: false with a fault.
 */
static bool find_next(struct lines *lines, struct line *line, size_t from, size_t *stop,
                      struct faults *faults)
{
    size_t seen = from;
    for (;;) {
        const char *first = line->bytes;
        size_t have = (size_t)(lines->buffer + lines->end - first);
        for (; seen < have && first[seen] != '\n' && first[seen] != '\r'; seen++)
            continue;
        *stop = seen;
        if (seen < have || lines->exhausted || have > LINE_BYTES_MAX)
            return true;
        lines->start = (size_t)(first - lines->buffer);
        bool good = make_room(lines, faults) && read_more(lines, faults);
        line->bytes = lines->buffer + lines->start;
        if (!good)
            return false;
    }
}

enum line_status lines_extend(struct lines *lines, struct line *line, struct faults *faults)
{
    struct lines_mark mark = lines_mark(lines, line);
    size_t from = mark.back;
    size_t stop;
    if (!line->finished)
        return LINE_END;
    if (!find_next(lines, line, from, &stop, faults))
        return LINE_FAILED;
    /* The LF of a CR LF: the next line begins behind it. */
    if (lines->after_cr && stop == from && line->bytes[stop] == '\n' &&
        line->bytes + stop < lines->buffer + lines->end &&
        !find_next(lines, line, ++from, &stop, faults))
        return LINE_FAILED;
    size_t have = (size_t)(lines->buffer + lines->end - line->bytes);
    lines->start = (size_t)(line->bytes - lines->buffer) + mark.back;
    if (from == have)
        return LINE_END;
    if (stop > LINE_BYTES_MAX)
        return LINE_TOO_LONG;
    if (memchr(line->bytes + from, '\0', stop - from) != NULL)
        return LINE_NUL;
    line->n = stop;
    line->finished = stop < have;
    if (!line->finished)
        line->bytes[stop] = '\n';
    lines->after_cr = line->finished && line->bytes[stop] == '\r';
    lines->start = (size_t)(line->bytes - lines->buffer) + stop + (line->finished ? 1 : 0);
    lines->number++;
    lines->lf_known = false;
    return LINE_TEXT;
}

void lines_shorten(struct lines *lines, struct line *line, size_t n0, const struct lines_mark *mark)
{
    lines->buffer[lines->end] = '\0';
    line->n = n0;
    line->finished = mark->finished;
    if (!line->finished)
        line->bytes[n0] = '\n';
    lines->start = (size_t)(line->bytes - lines->buffer) + mark->back;
    lines->number = mark->number;
    lines->after_cr = mark->after_cr;
    lines->lf_known = false;
}

void lines_return(struct lines *lines, const struct line *line)
{
    line->bytes[line->n] = !line->finished ? '\0' : lines->after_cr ? '\r' : '\n';
    lines->start = (size_t)(line->bytes - lines->buffer);
    lines->after_cr = false;
    lines->lf_known = false;
    lines->number--;
}

void lines_pass(struct lines *lines, size_t bytes, size_t n)
{
    lines->start += bytes;
    lines->number += (long)n;
}

void lines_digest(struct lines *lines, char hex[HASH_HEX_SIZE])
{
    raw_digest(&lines->source.raw, hex);
}

void lines_close(struct lines *lines)
{
    /* A zeroed struct holds no open file: descriptor 0 is not ours. */
    if (lines->path != NULL)
        source_close(&lines->source);
    free(lines->buffer);
    lines->buffer = NULL;
}
