#include "ingest/lines.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* HEAD_BYTES are looked at to tell text from other data; KEPT_BYTES of an over-long line are kept.
 */
enum {
    BUFFER_BYTES = 64 * 1024,
    BUFFER_MOST = LINE_BYTES_MAX + 2,
    HEAD_BYTES = 4096,
    KEPT_BYTES = 256
};

static bool refuse(const char *path, const char *found, const char *hint, struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(path, 0, 0));
    fault_found(fault, "%s", found);
    fault_hint(fault, "%s", hint);
    return false;
}

/* Bytes from the file or from memory. Returns: -1 with errno set. */
static ssize_t fetch(struct lines *lines, char *out, size_t room)
{
    if (lines->fd < 0) {
        size_t n = lines->memory_left < room ? lines->memory_left : room;
        if (n > 0)
            memcpy(out, lines->memory, n);
        lines->memory += n;
        lines->memory_left -= n;
        return (ssize_t)n;
    }
    uint64_t left = lines->limit - lines->bytes_read;
    ssize_t n;
    if (room > left)
        room = (size_t)left;
    do
        n = read(lines->fd, out, room);
    while (n < 0 && errno == EINTR);
    return n;
}

/* Fills the buffer from `end` to its capacity with one read. */
static bool read_more(struct lines *lines, struct faults *faults)
{
    char *out = lines->buffer + lines->end;
    ssize_t n = fetch(lines, out, lines->capacity - lines->end);
    if (n < 0)
        return fault_system(faults, lines->path, "cannot be read", errno);
    lines->exhausted = n == 0;
    lines->end += (size_t)n;
    lines->bytes_read += (uint64_t)n;
    lines->lf_known = false;
    lines->buffer[lines->end] = '\0';
    return n == 0 || !lines->hashing || hash_feed(&lines->hash, out, (size_t)n, faults);
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
    if (lines->end < lines->capacity)
        return true;
    size_t capacity = lines->capacity * 2 < BUFFER_MOST ? lines->capacity * 2 : BUFFER_MOST;
    char *buffer = realloc(lines->buffer, capacity + 1);
    if (buffer == NULL)
        return fault_memory(faults);
    lines->buffer = buffer;
    lines->capacity = capacity;
    return true;
}

static bool refuse_kind(const struct lines *lines, struct faults *faults)
{
    static const struct {
        const char *head;
        size_t n;
        const char *found;
        const char *hint;
    } kinds[] = {
        {"\xFF\xFE", 2, "is UTF-16 text, not UTF-8", "save it as CSV in UTF-8"},
        {"\xFE\xFF", 2, "is UTF-16 text, not UTF-8", "save it as CSV in UTF-8"},
        {"\x1F\x8B", 2, "is compressed", "unpack it first, with gunzip"},
        {"PK\x03\x04", 4, "is a packed file or a spreadsheet, not text",
         "open it in the spreadsheet and save the sheet as CSV in UTF-8"},
    };
    for (size_t i = 0; i < sizeof kinds / sizeof kinds[0]; i++)
        if (lines->end >= kinds[i].n && memcmp(lines->buffer, kinds[i].head, kinds[i].n) == 0)
            return refuse(lines->path, kinds[i].found, kinds[i].hint, faults);
    return true;
}

/* Some control bytes are one damaged line, which is named later; many are not text at all. */
static bool refuse_binary(const struct lines *lines, struct faults *faults)
{
    size_t n = lines->end < HEAD_BYTES ? lines->end : HEAD_BYTES;
    size_t odd = 0;
    for (size_t i = 0; i < n; i++) {
        unsigned char c = (unsigned char)lines->buffer[i];
        odd += (c < 0x20 && c != '\t' && c != '\n' && c != '\r' && c != '\f') || c == 0x7F;
    }
    if (odd * 20 <= n)
        return true;
    return refuse(lines->path, "is not a text file", "give the logger's CSV file", faults);
}

static bool look_at_head(struct lines *lines, struct faults *faults)
{
    while (lines->end < HEAD_BYTES && !lines->exhausted)
        if (!read_more(lines, faults))
            return false;
    if (lines->end == 0)
        return refuse(lines->path, "is empty", "the first line must name the columns, and rows follow", faults);
    if (!refuse_kind(lines, faults) || !refuse_binary(lines, faults))
        return false;
    if (lines->end >= 3 && memcmp(lines->buffer, "\xEF\xBB\xBF", 3) == 0)
        lines->start = 3;
    return true;
}

static bool start(struct lines *lines, struct faults *faults)
{
    lines->buffer = malloc(BUFFER_BYTES + 1);
    lines->capacity = BUFFER_BYTES;
    bool ok = lines->buffer != NULL || fault_memory(faults);
    if (ok && lines->hashing)
        ok = hash_open(&lines->hash, faults);
    ok = ok && look_at_head(lines, faults);
    if (!ok)
        lines_close(lines);
    return ok;
}

/* Opens a regular file only: others cannot be read twice, or never end. */
static int open_regular(const char *path, uint64_t *size, struct faults *faults)
{
    struct stat about;
    int fd = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK | O_NOCTTY);
    if (fd < 0 && fault_of_machine(errno)) {
        fault_system(faults, path, "cannot be opened", errno);
        return -1;
    }
    if (fd < 0) {
        struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(path, 0, 0));
        fault_found(fault, "cannot be opened: %s", strerror(errno));
        fault_hint(fault, "check the name in the description, and who may read the file");
        return -1;
    }
    if (fstat(fd, &about) == 0 && S_ISREG(about.st_mode)) {
        *size = about.st_size > 0 ? (uint64_t)about.st_size : 0;
        return fd;
    }
    refuse(path, S_ISDIR(about.st_mode) ? "is a directory" : "is not a regular file",
           "name the log file itself", faults);
    close(fd);
    return -1;
}

bool lines_open(struct lines *lines, const char *path, bool hashing, struct faults *faults)
{
    memset(lines, 0, sizeof *lines);
    lines->path = path;
    lines->hashing = hashing;
    lines->fd = open_regular(path, &lines->limit, faults);
    return lines->fd >= 0 && start(lines, faults);
}

bool lines_open_memory(struct lines *lines, const char *name, const char *bytes, size_t n,
                       struct faults *faults)
{
    memset(lines, 0, sizeof *lines);
    lines->path = name;
    lines->fd = -1;
    lines->memory = bytes;
    lines->memory_left = n;
    return start(lines, faults);
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

/* A half line at the end is being written if the file has more by now. */
static bool is_being_written(const struct lines *lines)
{
    struct stat about;
    return lines->fd >= 0 && lines->start < lines->end && fstat(lines->fd, &about) == 0 &&
           about.st_size > 0 && (uint64_t)about.st_size > lines->bytes_read;
}

enum line_status lines_next(struct lines *lines, struct line *line, struct faults *faults)
{
    for (;;) {
        if (lines->after_cr && lines->start < lines->end) {
            lines->start += lines->buffer[lines->start] == '\n';
            lines->after_cr = false;
        }
        size_t stop = find_end(lines);
        if (stop < lines->end)
            return give(lines, stop, line);
        if (lines->exhausted && is_being_written(lines))
            lines->start = lines->end;
        if (lines->exhausted)
            return lines->start == lines->end ? LINE_END : give(lines, stop, line);
        if (lines->end - lines->start > LINE_BYTES_MAX)
            return skip_long(lines, line, faults);
        if (!make_room(lines, faults) || !read_more(lines, faults))
            return LINE_FAILED;
    }
}

const char *lines_peek(const struct lines *lines)
{
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

bool lines_digest(struct lines *lines, char hex[HASH_HEX_SIZE], struct faults *faults)
{
    lines->hashing = false;
    return hash_close(&lines->hash, hex, faults);
}

void lines_close(struct lines *lines)
{
    if (lines->fd >= 0)
        close(lines->fd);
    lines->fd = -1;
    hash_free(&lines->hash);
    free(lines->buffer);
    lines->buffer = NULL;
}
