/* Unpack: the bytes of a gzip file (RFC 1952), several joined ones too, by zlib's inflate.
 *
 * Only the whole is good: a file that ends before its check sum, differs from it, or goes on with
 * other bytes behind it is refused, since rows would be missing from the log without a sign. NUL
 * bytes behind it are padding and pass.
 */
#ifndef INGEST_UNPACK_H
#define INGEST_UNPACK_H

#include "ingest/source.h"

/* A log of rows that differ packs to a twentieth, seldom less. Once UNPACK_FREE_BYTES have come
 * out, more than UNPACK_RATIO_MOST times the packed bytes is a file made to fill a disk (our own
 * figure; deflate can reach 1032). */
enum { UNPACK_RATIO_MOST = 200, UNPACK_FREE_BYTES = 16 << 20 };

/* The head of a gzip file. */
bool unpack_knows(const char *bytes, size_t n);

/* Takes the bytes read ahead in source->head as its first ones. Returns: NULL with a machine fault.
 */
struct unpack *unpack_new(struct source *source, struct faults *faults);

/* In, Out, Returns: as source_read. */
bool unpack_read(struct unpack *unpack, struct source *source, char *out, size_t room, size_t *n,
                 struct faults *faults);

void unpack_free(struct unpack *unpack); /* NULL is fine */

#endif
