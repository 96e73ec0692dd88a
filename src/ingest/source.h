/* Source: a file's bytes as text, whatever it is kept in. All above it sees ASCII or UTF-8.
 *
 * A gzip file is unpacked while it is read. UTF-16 is known by its byte order mark or by its NUL
 * bytes and turned into UTF-8; so is what is stated to be of another encoding. A UTF-8 mark is
 * dropped. Any other file is handed out as it stands, by reads straight into the caller's buffer.
 * Whoever reads on with a thread, hashes, or asks how far the file is read does so with its raw
 * bytes (ingest/raw.h).
 */
#ifndef INGEST_SOURCE_H
#define INGEST_SOURCE_H

#include "base/faults.h"
#include "ingest/encoding.h"
#include "ingest/raw.h"

#include <stdbool.h>
#include <stddef.h>

/* SOURCE_HEAD_BYTES are looked at to tell what a file is. */
enum { SOURCE_HEAD_BYTES = 4096 };

struct source {
    struct raw raw;               /* the file's own bytes: how many were read, their hash */
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

/* Out:     n  bytes put into out, at most room (> 3); 0 only at the end
 * Returns: false with a machine fault, or an input fault: a compressed file that is cut off,
 * damaged, grows beyond all measure or is followed by other bytes. */
bool source_read(struct source *source, char *out, size_t room, size_t *n, struct faults *faults);

void source_close(struct source *source); /* safe twice, and on {0} with fd -1 */

#endif
