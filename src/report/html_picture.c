#include "report/html_picture.h"

#include <errno.h>
#include <openssl/evp.h>
#include <stdio.h>
#include <stdlib.h>

/* Three bytes become four characters: only the last piece may need padding. */
enum { PIECE = 3 * 4096, ENCODED = 4 * 4096 + 1 };

static bool encode(FILE *file, struct text *out)
{
    unsigned char bytes[PIECE];
    unsigned char characters[ENCODED];
    size_t n;
    while ((n = fread(bytes, 1, sizeof bytes, file)) > 0) {
        int length = EVP_EncodeBlock(characters, bytes, (int)n);
        text_add_bytes(out, (const char *)characters, (size_t)length);
        text_flush(out);
    }
    return !ferror(file);
}

bool html_picture(const struct folder *folder, const char *id, struct text *out,
                  struct faults *faults)
{
    char *name = text_copyf(faults, "%s.svg", id);
    char *path = name ? folder_path(folder, name, faults) : NULL;
    FILE *file = path ? fopen(path, "rbe") : NULL;
    text_add(out, "data:image/svg+xml;base64,");
    bool ok = file && encode(file, out);
    if (path && !ok)
        fault_system(faults, name, "cannot be read back", errno);
    if (file)
        fclose(file);
    free(path);
    free(name);
    return ok;
}
