/* Unpack: the bytes of a gzip file (RFC 1952), several joined ones too, by zlib's inflate.
 *
 * Only the whole is good: a file that ends before its check sum, differs from it, or goes on with
 * other bytes behind it is refused, since rows would be missing from the log without a sign. NUL
 * bytes behind it are padding and pass.
 */
#ifndef INGEST_UNPACK_H
#define INGEST_UNPACK_H

#include "base/faults.h"
#include "ingest/raw.h"

#include <stdbool.h>
#include <stddef.h>

/* A log of rows that differ packs to a twentieth, seldom less. Once UNPACK_FREE_BYTES have come
 * out, more than UNPACK_RATIO_MOST times the packed bytes is a file made to fill a disk (our own
 * figure; deflate can reach 1032). */
enum { UNPACK_RATIO_MOST = 200, UNPACK_FREE_BYTES = 16 << 20 };

/* The head of a gzip file. */
bool unpack_knows(const char *bytes, size_t n);

/* In:      head, n  the file's first bytes, already read; 32 KiB at most
 * Returns: NULL with a machine fault. */
struct unpack *unpack_new(const char *head, size_t n, struct faults *faults);

/* In:      raw  read on from behind the head
 * Out:     n    bytes put into out, at most room; 0 only at the end
 * Returns: false with a machine fault, or an input fault: the file is cut off, damaged, grows
 * beyond all measure or is followed by other bytes. */
bool unpack_read(struct unpack *unpack, struct raw *raw, char *out, size_t room, size_t *n,
                 struct faults *faults);

void unpack_free(struct unpack *unpack); /* NULL is fine */

#endif
