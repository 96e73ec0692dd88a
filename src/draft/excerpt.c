#include "draft/excerpt.h"

#include "ingest/header.h"
#include "ingest/lines.h"
#include "ingest/record.h"
#include "ingest/recode.h"

#include <errno.h>
#include <fcntl.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

const char *excerpt_bytes(const struct excerpt *excerpt, size_t line)
{
    return excerpt->bytes.bytes + excerpt->line[line].at;
}

void excerpt_free(struct excerpt *excerpt)
{
    text_free(&excerpt->bytes);
    free(excerpt->line);
    memset(excerpt, 0, sizeof *excerpt);
}

static bool is_blank(const struct line *line)
{
    for (size_t i = 0; i < line->n; i++)
        if (line->bytes[i] != ' ' && line->bytes[i] != '\t')
            return false;
    return true;
}

/* Appends text that is not UTF-8. Returns: false when out of memory. */
static bool add_recoded(struct text *out, const char *bytes, size_t n)
{
    char *recoded = malloc(3 * n + 1);
    if (recoded == NULL)
        return false;
    recode_text(bytes, n, recoded);
    text_add(out, recoded);
    free(recoded);
    return true;
}

static bool room(struct excerpt *excerpt)
{
    if (excerpt->n < excerpt->capacity)
        return true;
    size_t capacity = excerpt->capacity == 0 ? 256 : 2 * excerpt->capacity;
    struct excerpt_line *line = realloc(excerpt->line, capacity * sizeof *line);
    if (line == NULL)
        return false;
    excerpt->line = line;
    excerpt->capacity = capacity;
    return true;
}

/* Comments near the beginning are kept without their '#', since one may hold the names.
 * Returns: whether the line is to be kept. */
static bool prepare(const struct excerpt *excerpt, struct line *line, enum excerpt_part part,
                    bool *comment)
{
    *comment = line_is_comment(line);
    if (!*comment)
        return true;
    while (line->n > 0 && strchr(" \t#", line->bytes[0]) != NULL) {
        line->bytes++;
        line->n--;
    }
    return line->n > 0 && part == EXCERPT_HEAD && excerpt->n < EXCERPT_COMMENTS;
}

/* Keeps a line unless it is blank or a comment. Returns: false when out of memory. */
static bool keep(struct excerpt *excerpt, struct line line, enum excerpt_part part)
{
    struct text *bytes = &excerpt->bytes;
    bool comment;
    if (is_blank(&line) || !prepare(excerpt, &line, part, &comment))
        return true;
    if (!room(excerpt))
        return false;
    size_t at = bytes->length;
    bool utf8 = text_is_utf8(line.bytes, line.n);
    excerpt->converted = excerpt->converted || !utf8;
    if (utf8)
        text_add_bytes(bytes, line.bytes, line.n);
    else if (!add_recoded(bytes, line.bytes, line.n))
        return false;
    excerpt->line[excerpt->n++] =
        (struct excerpt_line){at, bytes->length - at, line.number, part, comment};
    text_add_bytes(bytes, "\n", 1);
    return !bytes->failed;
}

static void note_odd(struct excerpt *excerpt, long number)
{
    if (excerpt->n_odd++ == 0)
        excerpt->first_odd = number;
}

static size_t count_quotes(const char *bytes, size_t n)
{
    size_t quotes = 0;
    for (size_t i = 0; i < n; i++)
        quotes += bytes[i] == '"';
    return quotes;
}

/* A name may run over lines within quotes. Near the beginning such a line is lengthened until its
 * quotes are even; a quote that is not closed soon stays as it is. Line ends become blanks, as the
 * reader has them (ingest/header.c). Returns: false with a fault. */
static bool close_quotes(struct lines *lines, struct line *line, struct faults *faults)
{
    struct lines_mark mark = lines_mark(lines, line);
    size_t n0 = line->n;
    enum line_status status = LINE_TEXT;
    size_t quotes = count_quotes(line->bytes, n0);
    for (int i = 1; i < RECORD_LINES_MAX && status == LINE_TEXT && quotes % 2 == 1; i++) {
        size_t before = line->n;
        status = line->finished ? lines_extend(lines, line, faults) : LINE_END;
        if (status == LINE_TEXT)
            quotes += count_quotes(line->bytes + before, line->n - before);
    }
    if (status == LINE_FAILED)
        return false;
    if (quotes % 2 == 1) {
        lines_shorten(lines, line, n0, &mark);
        return true;
    }
    size_t to = 0;
    for (size_t i = 0; i < line->n; i++) {
        bool end = line->bytes[i] == '\n' || line->bytes[i] == '\r';
        if (!end)
            line->bytes[to++] = line->bytes[i];
        else if (to > 0 && line->bytes[to - 1] != ' ')
            line->bytes[to++] = ' ';
    }
    line->n = to;
    return true;
}

static bool may_hold_names(const struct excerpt *excerpt, const struct line *line)
{
    return excerpt->n < EXCERPT_COMMENTS && count_quotes(line->bytes, line->n) % 2 == 1;
}

/* Reads lines from the beginning until `most` bytes are reached or the file ends. */
static bool read_head(struct excerpt *excerpt, size_t most, struct faults *faults)
{
    struct lines lines;
    struct line line;
    enum line_status status = LINE_TEXT;
    size_t seen = 0;
    bool good = true;
    if (!lines_open(&lines, excerpt->path, false, faults))
        return false;
    while (good && seen < most && excerpt->n < EXCERPT_LINES_MAX) {
        status = lines_next(&lines, &line, faults);
        if (status == LINE_END || status == LINE_FAILED)
            break;
        if (status == LINE_TEXT && may_hold_names(excerpt, &line))
            good = close_quotes(&lines, &line, faults);
        seen += line.n + 1;
        if (good && status == LINE_TEXT)
            good = keep(excerpt, line, EXCERPT_HEAD) || fault_memory(faults);
        else if (good)
            note_odd(excerpt, line.number);
    }
    excerpt->whole = status == LINE_END;
    lines_close(&lines);
    return good && status != LINE_FAILED;
}

/* Cuts a piece out of the middle of a file into lines; what stands before the first line end and
 * after the last one is half a line. */
static bool cut_piece(struct excerpt *excerpt, char *piece, size_t n, enum excerpt_part part)
{
    char *at = piece;
    char *end = piece + n;
    bool first = true;
    size_t lines = 0;
    while (at < end && lines < EXCERPT_LINES_MAX / 2) {
        char *stop = at;
        while (stop < end && *stop != '\n' && *stop != '\r')
            stop++;
        if (stop == end && part == EXCERPT_MIDDLE)
            break;
        struct line line = {.bytes = at, .n = (size_t)(stop - at)};
        if (first)
            first = false;
        else if (memchr(at, '\0', line.n) != NULL)
            note_odd(excerpt, 0);
        else if (!keep(excerpt, line, part))
            return false;
        lines++;
        at = stop + 1;
    }
    return true;
}

static bool refuse_reading(const char *path, struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_MACHINE, fault_at(path, 0, 0));
    fault_found(fault, "cannot be read: %s", strerror(errno));
    return false;
}

static bool read_piece(struct excerpt *excerpt, int fd, uint64_t from, size_t n,
                       enum excerpt_part part, struct faults *faults)
{
    char *piece = malloc(n);
    if (piece == NULL)
        return fault_memory(faults);
    size_t got = 0;
    ssize_t more = 1;
    while (got < n && more > 0) {
        more = pread(fd, piece + got, n - got, (off_t)(from + got));
        got += more > 0 ? (size_t)more : 0;
        more = more < 0 && errno == EINTR ? 1 : more;
    }
    bool good = more >= 0 || refuse_reading(excerpt->path, faults);
    good = good && (cut_piece(excerpt, piece, got, part) || fault_memory(faults));
    free(piece);
    return good;
}

/* Only in a plain file can one go to the middle: a packed one, or one of two bytes a character, is
 * looked at from its beginning alone. */
static bool is_plain(int fd)
{
    unsigned char two[2];
    if (pread(fd, two, sizeof two, 0) != (ssize_t)sizeof two)
        return false;
    bool packed = two[0] == 0x1F && two[1] == 0x8B;
    bool wide = (two[0] == 0xFF && two[1] == 0xFE) || (two[0] == 0xFE && two[1] == 0xFF) ||
                two[0] == 0 || two[1] == 0;
    return !packed && !wide;
}

static bool read_rest(struct excerpt *excerpt, uint64_t size, size_t most, struct faults *faults)
{
    int fd = open(excerpt->path, O_RDONLY | O_CLOEXEC);
    if (fd < 0)
        return refuse_reading(excerpt->path, faults);
    bool good =
        !is_plain(fd) || (read_piece(excerpt, fd, size / 2, most / 4, EXCERPT_MIDDLE, faults) &&
                          read_piece(excerpt, fd, size - most / 4, most / 4, EXCERPT_TAIL, faults));
    close(fd);
    return good;
}

bool excerpt_read(struct excerpt *excerpt, const char *path, size_t most, struct faults *faults)
{
    struct stat info;
    memset(excerpt, 0, sizeof *excerpt);
    excerpt->path = path;
    bool known = stat(path, &info) == 0;
    bool is_long = known && info.st_size > 0 && (uint64_t)info.st_size > 2 * (uint64_t)most;
    if (!read_head(excerpt, is_long ? most / 2 : 4 * most, faults))
        return false;
    return !is_long || excerpt->whole || read_rest(excerpt, (uint64_t)info.st_size, most, faults);
}
