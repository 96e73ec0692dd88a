/* SHA-256 of what was read, fed from the same buffers that are parsed (Nettle). It needs no memory
 * of its own and cannot fail.
 *
 * Source: FIPS 180-4; as sha256sum prints it.
 */
#ifndef BASE_HASH_H
#define BASE_HASH_H

#include <nettle/sha2.h>
#include <stddef.h>

enum { HASH_HEX_SIZE = 2 * SHA256_DIGEST_SIZE + 1 };

struct hash {
    struct sha256_ctx state;
};

void hash_start(struct hash *hash);
void hash_feed(struct hash *hash, const void *bytes, size_t n);

/* Out: hex  of all bytes since hash_start, which is due before the next use */
void hash_end(struct hash *hash, char hex[HASH_HEX_SIZE]);

#endif
