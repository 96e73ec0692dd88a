#include "base/hash.h"

#include <nettle/base16.h>

void hash_start(struct hash *hash)
{
    sha256_init(&hash->state);
}

void hash_feed(struct hash *hash, const void *bytes, size_t n)
{
    sha256_update(&hash->state, n, bytes);
}

void hash_end(struct hash *hash, char hex[HASH_HEX_SIZE])
{
    uint8_t digest[SHA256_DIGEST_SIZE];
    sha256_digest(&hash->state, sizeof digest, digest);
    base16_encode_update(hex, sizeof digest, digest);
    hex[HASH_HEX_SIZE - 1] = '\0';
}
