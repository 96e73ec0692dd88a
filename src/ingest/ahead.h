/* Ahead: a thread of its own reads a file and feeds its hash, a few pieces before they are used.
 *
 * The bytes that are handed out are those that were hashed, in order; nothing else is changed by
 * it.
 */
#ifndef INGEST_AHEAD_H
#define INGEST_AHEAD_H

#include "base/faults.h"
#include "base/hash.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct ahead;

/* In:      fd       read from where it stands, `left` bytes at most; borrowed
 *          hash     fed with all bytes; NULL: none. Borrowed until ahead_stop
 *          path     borrowed, for faults
 * Returns: NULL if the machine gives no thread or no memory for it: read the file without. */
struct ahead *ahead_start(int fd, uint64_t left, struct hash *hash, const char *path);

/* Out:     n  bytes put into out, at most room; 0 only at the end
 * Returns: false with a machine fault, once all bytes before it were handed out. */
bool ahead_read(struct ahead *ahead, char *out, size_t room, size_t *n, struct faults *faults);

/* Waits for the thread and frees all; NULL is fine. */
void ahead_stop(struct ahead *ahead);

#endif
