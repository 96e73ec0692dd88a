/* Raw: a log file's own bytes, as the disk keeps them, and their hash. What they mean is told by
 * ingest/source.h.
 *
 * A file is read up to the size that it had when it was opened. The hash is that of the bytes, as
 * sha256sum prints it.
 */
#ifndef INGEST_RAW_H
#define INGEST_RAW_H

#include "base/faults.h"
#include "base/hash.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct raw {
    const char *path; /* borrowed, for faults */
    int fd;           /* -1: from memory, or closed */
    const char *memory;
    size_t memory_left;
    uint64_t limit; /* the file's size when it was opened: what is appended later is not read */
    uint64_t bytes_read;
    bool hashing;
    struct hash hash;
    struct ahead *ahead; /* owned; NULL: this thread reads the file itself */
};

/* Opens a regular file: others cannot be read twice, or never end. path is borrowed until
 * raw_close, which is due either way.
 * Returns: false with an input fault (absent, no permission, a directory, not a regular file) or a
 * machine fault. */
bool raw_open(struct raw *raw, const char *path, bool hashing, struct faults *faults);

/* The same from memory (borrowed until raw_close); `name` stands in faults. */
void raw_open_memory(struct raw *raw, const char *name, const char *bytes, size_t n, bool hashing);

/* From here on a thread of its own reads the file and hashes it (ingest/ahead.h), if the machine
 * gives one. The struct must not be moved afterwards. */
void raw_go_ahead(struct raw *raw);

/* Out:     n  bytes put into out, at most room; 0 only at the end
 * Returns: false with a machine fault. */
bool raw_read(struct raw *raw, char *out, size_t room, size_t *n, struct faults *faults);

/* After the end, once: the hash of all bytes. The raw was opened with hashing. */
void raw_digest(struct raw *raw, char hex[HASH_HEX_SIZE]);

/* Whether the file has more bytes by now than were read. */
bool raw_has_grown(const struct raw *raw);

void raw_close(struct raw *raw); /* safe twice, and on {0} with fd -1 */

#endif
