/* Source: a file's bytes as text, whatever it is kept in. All above it sees ASCII or UTF-8.
 *
 * A gzip file is unpacked while it is read. UTF-16 is known by its byte order mark or by its NUL
 * bytes and turned into UTF-8; so is what is stated to be of another encoding. A UTF-8 mark is
 * dropped. Any other file is handed out as it stands, by reads straight into the caller's buffer.
 * The hash is of the file's own bytes, as sha256sum prints it. A file is read up to the size that
 * it had when it was opened.
 */
#ifndef INGEST_SOURCE_H
#define INGEST_SOURCE_H

#include "base/faults.h"
#include "base/hash.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* SOURCE_HEAD_BYTES are looked at to tell what a file is. */
enum { SOURCE_HEAD_BYTES = 4096 };

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
const char *encoding_name(enum encoding encoding); /* "UTF-16LE", as iconv(1) and users call it */

struct source {
    const char *path; /* borrowed, for faults */
    int fd;           /* -1: from memory, or closed */
    const char *memory;
    size_t memory_left;
    uint64_t limit; /* the file's size when it was opened: what is appended later is not read */
    uint64_t bytes_read; /* of the file itself */
    bool hashing;
    struct hash hash;
    struct ahead *ahead;          /* owned; NULL: this thread reads the file itself */
    struct unpack *unpack;        /* owned; NULL: not compressed */
    struct recode *recode;        /* owned; NULL: nothing to convert */
    enum encoding encoding;       /* what it was taken as; ENCODING_AUTOMATIC: as it stands */
    char head[SOURCE_HEAD_BYTES]; /* read ahead at opening, not yet handed out */
    size_t head_at;
    size_t head_n;
};

/* Opens a regular file. path is borrowed until source_close.
 * Returns: false with an input fault (absent, no permission, a directory, not a regular file,
 * empty, another kind of packed file or a spreadsheet, other binary data in its head, not of the
 * stated encoding) or a machine fault. */
bool source_open(struct source *source, const char *path, enum encoding encoding, bool hashing,
                 struct faults *faults);

/* The same from memory (borrowed until source_close); `name` stands in faults. */
bool source_open_memory(struct source *source, const char *name, const char *bytes, size_t n,
                        enum encoding encoding, bool hashing, struct faults *faults);

/* From here on a thread of its own reads the file and hashes it (ingest/ahead.h), if the machine
 * gives one. The source must not be moved afterwards. */
void source_go_ahead(struct source *source);

/* Out:     n  bytes put into out, at most room (> 3); 0 only at the end
 * Returns: false with a machine fault, or an input fault: a compressed file that is cut off,
 * damaged, grows beyond all measure or is followed by other bytes. */
bool source_read(struct source *source, char *out, size_t room, size_t *n, struct faults *faults);

/* After the end: the hash of all bytes. Returns: false with a machine fault. */
bool source_digest(struct source *source, char hex[HASH_HEX_SIZE], struct faults *faults);

/* Whether the file has more bytes by now than were read. */
bool source_has_grown(const struct source *source);

void source_close(struct source *source); /* safe twice, and on {0} with fd -1 */

/* The file's own bytes, hashed: for the stages below. In, Out, Returns: as source_read. */
bool source_read_raw(struct source *source, char *out, size_t room, size_t *n,
                     struct faults *faults);

#endif
