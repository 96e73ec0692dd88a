#include "ingest/recode.h"

#include "ingest/unpack.h"

#include <errno.h>
#include <iconv.h>
#include <stdlib.h>
#include <string.h>

enum { FOREIGN_BYTES = 16 * 1024, UTF_8_BYTES_MAX = 4 };

struct recode {
    iconv_t table;
    size_t unit; /* bytes of the least character */
    size_t at;
    size_t n;
    bool ended; /* no more bytes of the file */
    char foreign[FOREIGN_BYTES];
};

const char *encoding_name(enum encoding encoding)
{
    static const char *const names[ENCODINGS] = {
        [ENCODING_AUTOMATIC] = "automatic", [ENCODING_UTF_8] = "UTF-8",
        [ENCODING_UTF_16LE] = "UTF-16LE",   [ENCODING_UTF_16BE] = "UTF-16BE",
        [ENCODING_LATIN_1] = "Latin-1",     [ENCODING_WINDOWS_1252] = "Windows-1252",
        [ENCODING_CP850] = "CP850",
    };
    return names[encoding];
}

/* The head's pairs of bytes: in one order's ASCII text nearly all have a NUL on the same side. */
enum encoding recode_guess(const char *bytes, size_t n)
{
    size_t nul[2] = {0, 0};
    size_t pairs = n / 2;
    if (n >= 2 && memcmp(bytes, "\xFF\xFE", 2) == 0)
        return ENCODING_UTF_16LE;
    if (n >= 2 && memcmp(bytes, "\xFE\xFF", 2) == 0)
        return ENCODING_UTF_16BE;
    for (size_t i = 0; i < 2 * pairs; i++)
        nul[i % 2] += bytes[i] == '\0';
    if (pairs < 4 || nul[0] + nul[1] < pairs * 9 / 10)
        return ENCODING_AUTOMATIC;
    if (nul[1] >= pairs * 9 / 10 && nul[0] * 20 < pairs)
        return ENCODING_UTF_16LE;
    if (nul[0] >= pairs * 9 / 10 && nul[1] * 20 < pairs)
        return ENCODING_UTF_16BE;
    return ENCODING_AUTOMATIC;
}

static iconv_t open_table(enum encoding encoding)
{
    const char *name = encoding == ENCODING_LATIN_1        ? "ISO-8859-1"
                       : encoding == ENCODING_WINDOWS_1252 ? "WINDOWS-1252"
                                                           : encoding_name(encoding);
    return iconv_open("UTF-8", name);
}

static bool is_utf_16(enum encoding encoding)
{
    return encoding == ENCODING_UTF_16LE || encoding == ENCODING_UTF_16BE;
}

struct recode *recode_new(struct source *source, enum encoding encoding, struct faults *faults)
{
    struct recode *r = calloc(1, sizeof *r);
    if (r == NULL) {
        fault_memory(faults);
        return NULL;
    }
    r->table = open_table(encoding);
    if (r->table == (iconv_t)-1) {
        int why = errno;
        free(r);
        fault_system(faults, source->path, "cannot be converted to UTF-8", why);
        return NULL;
    }
    r->unit = is_utf_16(encoding) ? 2 : 1;
    r->n = source->head_n;
    memcpy(r->foreign, source->head, r->n);
    source->head_n = 0;
    bool mark = is_utf_16(encoding) && r->n >= 2 && recode_guess(r->foreign, 2) == encoding;
    r->at = mark ? 2 : 0;
    return r;
}

void recode_free(struct recode *r)
{
    if (r != NULL)
        iconv_close(r->table);
    free(r);
}

/* Moves what is left to the front and reads behind it. */
static bool more_foreign(struct recode *r, struct source *source, struct faults *faults)
{
    size_t n;
    memmove(r->foreign, r->foreign + r->at, r->n - r->at);
    r->n -= r->at;
    r->at = 0;
    size_t room = sizeof r->foreign - r->n;
    bool good = source->unpack != NULL
                    ? unpack_read(source->unpack, source, r->foreign + r->n, room, &n, faults)
                    : source_read_raw(source, r->foreign + r->n, room, &n, faults);
    if (!good)
        return false;
    r->ended = n == 0;
    r->n += n;
    return true;
}

/* Puts U+FFFD in the place of a unit that is no character. */
static void put_unknown(struct recode *r, char **to, size_t *room)
{
    size_t left = r->n - r->at;
    memcpy(*to, "\xEF\xBF\xBD", 3);
    *to += 3;
    *room -= 3;
    r->at += left < r->unit ? left : r->unit;
}

bool recode_read(struct recode *r, struct source *source, char *out, size_t room, size_t *n,
                 struct faults *faults)
{
    char *to = out;
    size_t left = room;
    bool full = false;
    while (!full && left >= UTF_8_BYTES_MAX && !(r->ended && r->at == r->n)) {
        char *from = r->foreign + r->at;
        size_t unread = r->n - r->at;
        size_t status = unread == 0 ? 0 : iconv(r->table, &from, &unread, &to, &left);
        int why = status == (size_t)-1 ? errno : 0;
        r->at = r->n - unread;
        full = why == E2BIG;
        if (why == EILSEQ || (why == EINVAL && r->ended)) {
            full = left < 3;
            if (!full)
                put_unknown(r, &to, &left);
        } else if (!full) {
            if (to > out)
                break;
            if (!more_foreign(r, source, faults))
                return false;
        }
    }
    *n = room - left;
    return true;
}

void recode_text(const char *bytes, size_t n, char *out)
{
    iconv_t table = open_table(ENCODING_WINDOWS_1252);
    for (size_t i = 0; i < n; i++) {
        char byte = bytes[i];
        char *from = &byte;
        size_t one = 1;
        size_t room = 3;
        bool known = table != (iconv_t)-1 && iconv(table, &from, &one, &out, &room) != (size_t)-1;
        if (!known) {
            memcpy(out, "\xEF\xBF\xBD", 3);
            out += 3;
        }
    }
    *out = '\0';
    if (table != (iconv_t)-1)
        iconv_close(table);
}
