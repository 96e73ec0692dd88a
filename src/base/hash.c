#include "base/hash.h"

#include <openssl/evp.h>
#include <stdio.h>

static bool failed(struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_MACHINE, fault_at(NULL, 0, 0));
    fault_found(fault, "SHA-256 of an input could not be computed by libcrypto");
    fault_hint(fault, "close other programs or raise the limit (ulimit -v), then run again; if "
                      "that does not help, check the installation of the package libssl3");
    return false;
}

/* libcrypto tells no lack of memory from other failures; nothing else is likely here. */
bool hash_open(struct hash *hash, struct faults *faults)
{
    *hash = (struct hash){NULL, NULL, NULL};
    hash->library = OSSL_LIB_CTX_new();
    if (hash->library != NULL)
        hash->method = EVP_MD_fetch(hash->library, "SHA256", NULL);
    if (hash->method != NULL)
        hash->state = EVP_MD_CTX_new();
    if (hash->state != NULL && EVP_DigestInit_ex(hash->state, hash->method, NULL) == 1)
        return true;
    hash_free(hash);
    return failed(faults);
}

bool hash_feed(struct hash *hash, const void *bytes, size_t n, struct faults *faults)
{
    return EVP_DigestUpdate(hash->state, bytes, n) == 1 ? true : failed(faults);
}

bool hash_close(struct hash *hash, char hex[HASH_HEX_SIZE], struct faults *faults)
{
    unsigned char digest[EVP_MAX_MD_SIZE];
    unsigned int n = 0;
    bool good = EVP_DigestFinal_ex(hash->state, digest, &n) == 1 && 2 * n + 1 == HASH_HEX_SIZE;
    hash_free(hash);
    if (!good)
        return failed(faults);
    for (unsigned int i = 0; i < n; i++)
        snprintf(hex + 2 * i, 3, "%02x", (unsigned)digest[i]);
    return true;
}

void hash_free(struct hash *hash)
{
    EVP_MD_CTX_free(hash->state);
    EVP_MD_free(hash->method);
    OSSL_LIB_CTX_free(hash->library);
    *hash = (struct hash){NULL, NULL, NULL};
}
