#include "ingest/source.h"

#include "ingest/recode.h"
#include "ingest/unpack.h"

#include <string.h>

static bool refuse(const char *path, const char *found, const char *hint, struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(path, 0, 0));
    fault_found(fault, "%s", found);
    fault_hint(fault, "%s", hint);
    return false;
}

/* The file's bytes, unpacked if it is packed. */
static bool read_unpacked(struct source *source, char *out, size_t room, size_t *n,
                          struct faults *faults)
{
    if (source->unpack != NULL)
        return unpack_read(source->unpack, &source->raw, out, room, n, faults);
    return raw_read(&source->raw, out, room, n, faults);
}

/* Behind the head. */
static bool read_on(struct source *source, char *out, size_t room, size_t *n, struct faults *faults)
{
    if (source->recode == NULL)
        return read_unpacked(source, out, room, n, faults);
    while (!recode_take(source->recode, out, room, n)) {
        size_t fed;
        size_t space;
        char *to = recode_room(source->recode, &space);
        if (!read_unpacked(source, to, space, &fed, faults))
            return false;
        recode_feed(source->recode, fed);
    }
    return true;
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
        return refuse(source->raw.path, "is empty",
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
            return refuse(source->raw.path, kinds[i].found, kinds[i].hint, faults);
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
        return refuse(source->raw.path, "begins with NUL bytes and no text",
                      "it was damaged, perhaps by a power cut: copy it again from the logger",
                      faults);
    if (odd * 20 <= n)
        return true;
    return refuse(source->raw.path, "is not a text file", "give the logger's CSV file", faults);
}

static bool add_unpack(struct source *source, struct faults *faults)
{
    if (!unpack_knows(source->head, source->head_n))
        return true;
    source->unpack = unpack_new(source->head, source->head_n, faults);
    return source->unpack != NULL && read_head(source, faults);
}

static bool refuse_encoding(const struct source *source, enum encoding stated, enum encoding guess,
                            struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(source->raw.path, 0, 0));
    if (encoding_is_utf_16(guess))
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
    enum encoding guess = encoding_guess(source->head, source->head_n);
    enum encoding encoding = stated == ENCODING_AUTOMATIC ? guess : stated;
    source->encoding = encoding;
    if (encoding != guess && (encoding_is_utf_16(encoding) || encoding_is_utf_16(guess)))
        return refuse_encoding(source, stated, guess, faults);
    if (encoding == ENCODING_AUTOMATIC || encoding == ENCODING_UTF_8)
        return true;
    source->recode = recode_new(encoding, source->head, source->head_n, source->raw.path, faults);
    return source->recode != NULL && read_head(source, faults);
}

/* Finds out what the opened file is, and drops a UTF-8 mark. */
static bool prepare(struct source *source, enum encoding stated, struct faults *faults)
{
    if (!read_head(source, faults) || !add_unpack(source, faults) || !refuse_kind(source, faults) ||
        !add_recode(source, stated, faults) || !refuse_binary(source, faults))
        return false;
    if (source->head_n >= 3 && memcmp(source->head, "\xEF\xBB\xBF", 3) == 0)
        source->head_at = 3;
    return true;
}

bool source_open(struct source *source, const char *path, enum encoding encoding, bool hashing,
                 struct faults *faults)
{
    memset(source, 0, sizeof *source);
    bool good = raw_open(&source->raw, path, hashing, faults) && prepare(source, encoding, faults);
    if (!good)
        source_close(source);
    return good;
}

bool source_open_memory(struct source *source, const char *name, const char *bytes, size_t n,
                        enum encoding encoding, bool hashing, struct faults *faults)
{
    memset(source, 0, sizeof *source);
    raw_open_memory(&source->raw, name, bytes, n, hashing);
    bool good = prepare(source, encoding, faults);
    if (!good)
        source_close(source);
    return good;
}

void source_close(struct source *source)
{
    raw_close(&source->raw);
    unpack_free(source->unpack);
    recode_free(source->recode);
    source->unpack = NULL;
    source->recode = NULL;
}
