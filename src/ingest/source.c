#include "ingest/source.h"

#include "ingest/ahead.h"
#include "ingest/recode.h"
#include "ingest/unpack.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static bool refuse(const char *path, const char *found, const char *hint, struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(path, 0, 0));
    fault_found(fault, "%s", found);
    fault_hint(fault, "%s", hint);
    return false;
}

/* Bytes from the file or from memory. Returns: -1 with errno set. */
static ssize_t fetch(struct source *source, char *out, size_t room)
{
    if (source->fd < 0) {
        size_t n = source->memory_left < room ? source->memory_left : room;
        if (n > 0)
            memcpy(out, source->memory, n);
        source->memory += n;
        source->memory_left -= n;
        return (ssize_t)n;
    }
    uint64_t left = source->limit - source->bytes_read;
    ssize_t n;
    if (room > left)
        room = (size_t)left;
    do
        n = read(source->fd, out, room);
    while (n < 0 && errno == EINTR);
    return n;
}

bool source_read_raw(struct source *source, char *out, size_t room, size_t *n,
                     struct faults *faults)
{
    if (source->ahead != NULL) {
        bool good = ahead_read(source->ahead, out, room, n, faults);
        source->bytes_read += *n;
        return good;
    }
    ssize_t got = fetch(source, out, room);
    if (got < 0)
        return fault_system(faults, source->path, "cannot be read", errno);
    *n = (size_t)got;
    source->bytes_read += *n;
    return *n == 0 || !source->hashing || hash_feed(&source->hash, out, *n, faults);
}

/* Behind the head. */
static bool read_on(struct source *source, char *out, size_t room, size_t *n, struct faults *faults)
{
    if (source->recode != NULL)
        return recode_read(source->recode, source, out, room, n, faults);
    if (source->unpack != NULL)
        return unpack_read(source->unpack, source, out, room, n, faults);
    return source_read_raw(source, out, room, n, faults);
}

bool source_read(struct source *source, char *out, size_t room, size_t *n, struct faults *faults)
{
    size_t left = source->head_n - source->head_at;
    if (left == 0)
        return read_on(source, out, room, n, faults);
    *n = left < room ? left : room;
    memcpy(out, source->head + source->head_at, *n);
    source->head_at += *n;
    return true;
}

/* Fills the empty head from the stages that are there. */
static bool read_head(struct source *source, struct faults *faults)
{
    size_t n = 1;
    source->head_n = source->head_at = 0;
    while (n > 0 && sizeof source->head - source->head_n > 8) {
        char *to = source->head + source->head_n;
        if (!read_on(source, to, sizeof source->head - source->head_n, &n, faults))
            return false;
        source->head_n += n;
    }
    if (source->head_n == 0)
        return refuse(source->path, "is empty",
                      "the first line must name the columns, and rows follow", faults);
    return true;
}

/* Letter case does not count, so that "<HTML" is known. */
static bool begins_as(const struct source *source, const char *head, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        char c = source->head[i];
        bool upper = c >= 'A' && c <= 'Z';
        if (c != head[i] && !(upper && c - 'A' + 'a' == head[i]))
            return false;
    }
    return true;
}

static bool refuse_kind(const struct source *source, struct faults *faults)
{
    static const struct {
        const char *head;
        size_t n;
        const char *found;
        const char *hint;
    } kinds[] = {
        {"PK\x03\x04", 4, "is a packed file or a spreadsheet, not text",
         "open it in the spreadsheet and save the sheet as CSV in UTF-8"},
        {"\xD0\xCF\x11\xE0", 4, "is a spreadsheet or a document, not text",
         "open it in the spreadsheet and save the sheet as CSV in UTF-8"},
        {"BZh91AY", 7, "is packed with bzip2",
         "unpack it first, with bunzip2, or pack it with gzip"},
        {"\xFD"
         "7zXZ",
         5, "is packed with xz", "unpack it first, with unxz, or pack it with gzip"},
        {"\x28\xB5\x2F\xFD", 4, "is packed with zstd",
         "unpack it first, with unzstd, or pack it with gzip"},
        {"%PDF-", 5, "is a PDF, not a table",
         "let the logger's program write CSV: numbers taken out of a printed page are not trusted"},
        {"<!doctype", 9, "is a page for a browser, not a table",
         "open it in a spreadsheet and save the sheet as CSV in UTF-8"},
        {"<html", 5, "is a page for a browser, not a table",
         "open it in a spreadsheet and save the sheet as CSV in UTF-8"},
        {"<?xml", 5, "is XML, not a table",
         "open it in a spreadsheet and save the sheet as CSV in UTF-8"},
        {"{\"", 2, "is JSON, not a table", "let the logger write CSV, a row for each time"},
        {"\xFF\xFE\0", 4, "is UTF-32 text, not UTF-8", "save it as CSV in UTF-8"},
    };
    for (size_t i = 0; i < sizeof kinds / sizeof kinds[0]; i++)
        if (source->head_n >= kinds[i].n && begins_as(source, kinds[i].head, kinds[i].n))
            return refuse(source->path, kinds[i].found, kinds[i].hint, faults);
    return true;
}

/* The end of a run of NUL bytes from `i` on, which a power cut leaves; i itself if it is a short
 * one. */
static size_t skip_filled(const struct source *source, size_t i)
{
    enum { LEAST = 4 };
    size_t end = i;
    while (end < source->head_n && source->head[end] == '\0')
        end++;
    return end - i >= LEAST || end == source->head_n ? end : i;
}

/* Some control bytes are one damaged line, which is named later; many are not text at all. */
static bool refuse_binary(const struct source *source, struct faults *faults)
{
    size_t n = 0;
    size_t odd = 0;
    for (size_t i = skip_filled(source, 0); i < source->head_n; i = skip_filled(source, i + 1)) {
        unsigned char c = (unsigned char)source->head[i];
        n++;
        odd += (c < 0x20 && c != '\t' && c != '\n' && c != '\r' && c != '\f') || c == 0x7F;
    }
    if (n == 0)
        return refuse(source->path, "begins with NUL bytes and no text",
                      "it was damaged, perhaps by a power cut: copy it again from the logger",
                      faults);
    if (odd * 20 <= n)
        return true;
    return refuse(source->path, "is not a text file", "give the logger's CSV file", faults);
}

static bool add_unpack(struct source *source, struct faults *faults)
{
    if (!unpack_knows(source->head, source->head_n))
        return true;
    source->unpack = unpack_new(source, faults);
    return source->unpack != NULL && read_head(source, faults);
}

static bool is_utf_16(enum encoding encoding)
{
    return encoding == ENCODING_UTF_16LE || encoding == ENCODING_UTF_16BE;
}

static bool refuse_encoding(const struct source *source, enum encoding stated, enum encoding guess,
                            struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(source->path, 0, 0));
    if (is_utf_16(guess))
        fault_found(fault, "is stated to be %s, but its bytes are %s", encoding_name(stated),
                    encoding_name(guess));
    else
        fault_found(fault, "is stated to be %s, but its bytes are not UTF-16",
                    encoding_name(stated));
    fault_hint(fault, "leave 'encoding' out of [log]: UTF-16 is told from the file itself");
    return false;
}

static bool add_recode(struct source *source, enum encoding stated, struct faults *faults)
{
    enum encoding guess = recode_guess(source->head, source->head_n);
    enum encoding encoding = stated == ENCODING_AUTOMATIC ? guess : stated;
    source->encoding = encoding;
    if (encoding != guess && (is_utf_16(encoding) || is_utf_16(guess)))
        return refuse_encoding(source, stated, guess, faults);
    if (encoding == ENCODING_AUTOMATIC || encoding == ENCODING_UTF_8)
        return true;
    source->recode = recode_new(source, encoding, faults);
    return source->recode != NULL && read_head(source, faults);
}

/* Finds out what the file is, and drops a UTF-8 mark. */
static bool prepare(struct source *source, enum encoding stated, struct faults *faults)
{
    if ((source->hashing && !hash_open(&source->hash, faults)) || !read_head(source, faults) ||
        !add_unpack(source, faults) || !refuse_kind(source, faults) ||
        !add_recode(source, stated, faults) || !refuse_binary(source, faults)) {
        source_close(source);
        return false;
    }
    if (source->head_n >= 3 && memcmp(source->head, "\xEF\xBB\xBF", 3) == 0)
        source->head_at = 3;
    return true;
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
        fault_hint(fault,
                   strcmp(path, "-") == 0
                       ? "a log is read from a file, twice: save what the pipe gives, and name that"
                       : "check the file's name, and who may read it");
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

static void init(struct source *source, const char *path, bool hashing)
{
    memset(source, 0, sizeof *source);
    source->path = path;
    source->fd = -1;
    source->hashing = hashing;
}

bool source_open(struct source *source, const char *path, enum encoding encoding, bool hashing,
                 struct faults *faults)
{
    init(source, path, hashing);
    source->fd = open_regular(path, &source->limit, faults);
    return source->fd >= 0 && prepare(source, encoding, faults);
}

bool source_open_memory(struct source *source, const char *name, const char *bytes, size_t n,
                        enum encoding encoding, bool hashing, struct faults *faults)
{
    init(source, name, hashing);
    source->memory = bytes;
    source->memory_left = n;
    return prepare(source, encoding, faults);
}

void source_go_ahead(struct source *source)
{
    if (source->fd < 0 || source->ahead != NULL)
        return;
    source->ahead = ahead_start(source->fd, source->limit - source->bytes_read,
                                source->hashing ? &source->hash : NULL, source->path);
}

static void stop_ahead(struct source *source)
{
    ahead_stop(source->ahead);
    source->ahead = NULL;
}

bool source_digest(struct source *source, char hex[HASH_HEX_SIZE], struct faults *faults)
{
    stop_ahead(source);
    source->hashing = false;
    return hash_close(&source->hash, hex, faults);
}

bool source_has_grown(const struct source *source)
{
    struct stat about;
    return source->fd >= 0 && fstat(source->fd, &about) == 0 && about.st_size > 0 &&
           (uint64_t)about.st_size > source->bytes_read;
}

void source_close(struct source *source)
{
    stop_ahead(source);
    if (source->fd >= 0)
        close(source->fd);
    source->fd = -1;
    hash_free(&source->hash);
    unpack_free(source->unpack);
    recode_free(source->recode);
    source->unpack = NULL;
    source->recode = NULL;
}
