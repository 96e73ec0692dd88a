/* SHA-256 of what was read, fed from the same buffers that are parsed (libcrypto).
 *
 * Each hash has a library context of its own (about 1 ms): the common one, which libcrypto would
 * make on its first use, ends the program by a crash when memory runs out meanwhile (seen in
 * version 3.0).
 */
#ifndef BASE_HASH_H
#define BASE_HASH_H

#include "base/faults.h"

#include <stdbool.h>
#include <stddef.h>

enum { HASH_HEX_SIZE = 65 };

struct hash {
    void *library; /* OSSL_LIB_CTX */
    void *method;  /* EVP_MD */
    void *state;   /* EVP_MD_CTX; all three NULL when closed */
};

bool hash_open(struct hash *hash, struct faults *faults);
bool hash_feed(struct hash *hash, const void *bytes, size_t n, struct faults *faults);
bool hash_close(struct hash *hash, char hex[HASH_HEX_SIZE], struct faults *faults);
void hash_free(struct hash *hash); /* safe on a closed one */

#endif
