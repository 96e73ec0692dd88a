#include "report/html_picture.h"

#include <errno.h>
#include <nettle/base64.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Three bytes become four characters: only the last piece may need padding. */
enum { PIECE = 3 * 4096, HEAD = 400 };

static bool encode(FILE *file, struct text *out)
{
    uint8_t bytes[PIECE];
    char characters[BASE64_ENCODE_RAW_LENGTH(PIECE)];
    size_t n;
    while ((n = fread(bytes, 1, sizeof bytes, file)) > 0) {
        base64_encode_raw(characters, n, bytes);
        text_add_bytes(out, characters, BASE64_ENCODE_RAW_LENGTH(n));
        text_flush(out);
    }
    return !ferror(file);
}

/* The head of an SVG says its size: width="960" height="640". */
static bool add_size(FILE *file, struct text *out)
{
    char head[HEAD + 1];
    int width, height;
    size_t n = fread(head, 1, HEAD, file);
    head[n] = '\0';
    const char *at = strstr(head, " width=\"");
    if (at && sscanf(at, " width=\"%d\" height=\"%d\"", &width, &height) == 2)
        text_addf(out, " width=\"%d\" height=\"%d\"", width, height);
    return !ferror(file);
}

static bool with_file(const struct folder *folder, const char *id,
                      bool (*take)(FILE *, struct text *), struct text *out,
                      struct faults *faults)
{
    char *name = text_copyf(faults, "%s.svg", id);
    char *path = name ? folder_path(folder, name, faults) : NULL;
    FILE *file = path ? fopen(path, "rbe") : NULL;
    bool ok = file && take(file, out);
    if (path && !ok)
        fault_system(faults, name, "cannot be read back", errno);
    if (file)
        fclose(file);
    free(path);
    free(name);
    return ok;
}

bool html_picture_size(const struct folder *folder, const char *id, struct text *out,
                       struct faults *faults)
{
    return with_file(folder, id, add_size, out, faults);
}

bool html_picture(const struct folder *folder, const char *id, struct text *out,
                  struct faults *faults)
{
    text_add(out, "data:image/svg+xml;base64,");
    return with_file(folder, id, encode, out, faults);
}
