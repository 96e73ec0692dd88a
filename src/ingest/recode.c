#include "ingest/recode.h"

#include <assert.h>
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

static iconv_t open_table(enum encoding encoding)
{
    const char *name = encoding == ENCODING_LATIN_1        ? "ISO-8859-1"
                       : encoding == ENCODING_WINDOWS_1252 ? "WINDOWS-1252"
                                                           : encoding_name(encoding);
    return iconv_open("UTF-8", name);
}

struct recode *recode_new(enum encoding encoding, const char *head, size_t n, const char *path,
                          struct faults *faults)
{
    assert(n <= FOREIGN_BYTES);
    struct recode *r = calloc(1, sizeof *r);
    if (r == NULL) {
        fault_memory(faults);
        return NULL;
    }
    r->table = open_table(encoding);
    if (r->table == (iconv_t)-1) {
        int why = errno;
        free(r);
        fault_system(faults, path, "cannot be converted to UTF-8", why);
        return NULL;
    }
    bool wide = encoding_is_utf_16(encoding);
    bool mark = wide && n >= 2 && encoding_guess(head, 2) == encoding;
    r->unit = wide ? 2 : 1;
    r->n = n;
    memcpy(r->foreign, head, n);
    r->at = mark ? 2 : 0;
    return r;
}

void recode_free(struct recode *r)
{
    if (r != NULL)
        iconv_close(r->table);
    free(r);
}

char *recode_room(struct recode *r, size_t *room)
{
    memmove(r->foreign, r->foreign + r->at, r->n - r->at);
    r->n -= r->at;
    r->at = 0;
    *room = sizeof r->foreign - r->n;
    return r->foreign + r->n;
}

void recode_feed(struct recode *r, size_t n)
{
    r->ended = n == 0;
    r->n += n;
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

bool recode_take(struct recode *r, char *out, size_t room, size_t *n)
{
    char *to = out;
    size_t left = room;
    bool full = false;
    bool hungry = false;
    while (!full && !hungry && left >= UTF_8_BYTES_MAX && !(r->ended && r->at == r->n)) {
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
        } else {
            hungry = !full;
        }
    }
    *n = room - left;
    return !hungry || *n > 0;
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
