#include "ingest/unpack.h"

#include <assert.h>
#include <stdlib.h>
#include <string.h>
#include <zlib.h>

enum { PACKED_BYTES = 32 * 1024, WINDOW_BITS_GZIP = 15 + 16 };

struct unpack {
    z_stream z;
    bool open;       /* z is to be ended */
    bool member_end; /* between two joined files */
    bool done;
    uint64_t bytes_out;
    unsigned char packed[PACKED_BYTES];
};

bool unpack_knows(const char *bytes, size_t n)
{
    return n >= 2 && memcmp(bytes, "\x1F\x8B", 2) == 0;
}

struct unpack *unpack_new(const char *head, size_t n, struct faults *faults)
{
    assert(n <= PACKED_BYTES);
    struct unpack *u = calloc(1, sizeof *u);
    if (u == NULL || inflateInit2(&u->z, WINDOW_BITS_GZIP) != Z_OK) {
        free(u);
        fault_memory(faults);
        return NULL;
    }
    u->open = true;
    memcpy(u->packed, head, n);
    u->z.next_in = u->packed;
    u->z.avail_in = (uInt)n;
    return u;
}

void unpack_free(struct unpack *u)
{
    if (u != NULL && u->open)
        inflateEnd(&u->z);
    free(u);
}

static bool refuse(const struct raw *raw, const char *found, const char *hint,
                   struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(raw->path, 0, 0));
    fault_found(fault, "%s", found);
    fault_hint(fault, "%s", hint);
    return false;
}

static bool more_packed(struct unpack *u, struct raw *raw, struct faults *faults)
{
    size_t n;
    if (u->z.avail_in > 0)
        return true;
    if (!raw_read(raw, (char *)u->packed, sizeof u->packed, &n, faults))
        return false;
    u->z.next_in = u->packed;
    u->z.avail_in = (uInt)n;
    return true;
}

/* Behind a check sum: another gzip file, padding, or what should not be there. */
static bool next_member(struct unpack *u, struct raw *raw, struct faults *faults)
{
    while (u->z.avail_in > 0 && *u->z.next_in == 0) {
        u->z.next_in++;
        u->z.avail_in--;
        if (!more_packed(u, raw, faults))
            return false;
    }
    u->done = u->z.avail_in == 0;
    u->member_end = false;
    if (u->done)
        return true;
    if (*u->z.next_in != 0x1F || inflateReset(&u->z) != Z_OK)
        return refuse(raw, "other bytes follow its compressed rows",
                      "unpack it with gunzip, look at its end, and give the unpacked log", faults);
    return true;
}

static bool beyond_measure(const struct unpack *u, const struct raw *raw)
{
    return u->bytes_out > UNPACK_FREE_BYTES &&
           u->bytes_out / UNPACK_RATIO_MOST > raw->bytes_read;
}

/* One step of inflate. */
static bool step(struct unpack *u, struct raw *raw, struct faults *faults)
{
    bool ended = u->z.avail_in == 0;
    uInt before = u->z.avail_out;
    int status = inflate(&u->z, Z_NO_FLUSH);
    u->bytes_out += before - u->z.avail_out;
    u->member_end = status == Z_STREAM_END;
    if (status == Z_MEM_ERROR)
        return fault_memory(faults);
    if (status == Z_DATA_ERROR || status == Z_NEED_DICT || status == Z_STREAM_ERROR)
        return refuse(raw, "is damaged: its compressed rows do not unpack",
                      "copy it again from the logger or its card; 'gzip -t' tests it", faults);
    if (ended && !u->member_end && u->z.avail_out == before)
        return refuse(
            raw, "is compressed and was cut off before its end",
            "copy it again; or unpack what is left with 'gunzip -c', delete the last line, "
            "and give that",
            faults);
    if (beyond_measure(u, raw))
        return refuse(raw, "unpacks to more than 200 times its size, as no log does",
                      "give the logger's own file", faults);
    return true;
}

bool unpack_read(struct unpack *u, struct raw *raw, char *out, size_t room, size_t *n,
                 struct faults *faults)
{
    u->z.next_out = (unsigned char *)out;
    u->z.avail_out = (uInt)room;
    while (!u->done && u->z.avail_out == (uInt)room) {
        if (!more_packed(u, raw, faults) ||
            !(u->member_end ? next_member(u, raw, faults) : step(u, raw, faults)))
            return false;
    }
    *n = room - u->z.avail_out;
    return true;
}
