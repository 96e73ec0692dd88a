#include "ingest/raw.h"

#include "ingest/ahead.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static int open_regular(const char *path, uint64_t *size, struct faults *faults)
{
    struct stat about;
    int fd = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK | O_NOCTTY);
    if (fd < 0 && fault_of_machine(errno)) {
        fault_system(faults, path, "cannot be opened", errno);
        return -1;
    }
    if (fd < 0) {
        struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(path, 0, 0));
        fault_found(fault, "cannot be opened: %s", strerror(errno));
        fault_hint(fault,
                   strcmp(path, "-") == 0
                       ? "a log is read from a file, twice: save what the pipe gives, and name that"
                       : "check the file's name, and who may read it");
        return -1;
    }
    if (fstat(fd, &about) == 0 && S_ISREG(about.st_mode)) {
        *size = about.st_size > 0 ? (uint64_t)about.st_size : 0;
        return fd;
    }
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(path, 0, 0));
    fault_found(fault, "%s", S_ISDIR(about.st_mode) ? "is a directory" : "is not a regular file");
    fault_hint(fault, "name the log file itself");
    close(fd);
    return -1;
}

static void init(struct raw *raw, const char *path, bool hashing)
{
    memset(raw, 0, sizeof *raw);
    raw->path = path;
    raw->fd = -1;
    raw->hashing = hashing;
    hash_start(&raw->hash);
}

bool raw_open(struct raw *raw, const char *path, bool hashing, struct faults *faults)
{
    init(raw, path, hashing);
    raw->fd = open_regular(path, &raw->limit, faults);
    return raw->fd >= 0;
}

void raw_open_memory(struct raw *raw, const char *name, const char *bytes, size_t n, bool hashing)
{
    init(raw, name, hashing);
    raw->memory = bytes;
    raw->memory_left = n;
}

void raw_go_ahead(struct raw *raw)
{
    if (raw->fd < 0 || raw->ahead != NULL)
        return;
    raw->ahead = ahead_start(raw->fd, raw->limit - raw->bytes_read,
                             raw->hashing ? &raw->hash : NULL, raw->path);
}

/* Bytes from the file or from memory. Returns: -1 with errno set. */
static ssize_t fetch(struct raw *raw, char *out, size_t room)
{
    if (raw->fd < 0) {
        size_t n = raw->memory_left < room ? raw->memory_left : room;
        if (n > 0)
            memcpy(out, raw->memory, n);
        raw->memory += n;
        raw->memory_left -= n;
        return (ssize_t)n;
    }
    uint64_t left = raw->limit - raw->bytes_read;
    ssize_t n;
    if (room > left)
        room = (size_t)left;
    do
        n = read(raw->fd, out, room);
    while (n < 0 && errno == EINTR);
    return n;
}

bool raw_read(struct raw *raw, char *out, size_t room, size_t *n, struct faults *faults)
{
    if (raw->ahead != NULL) {
        bool good = ahead_read(raw->ahead, out, room, n, faults);
        raw->bytes_read += *n;
        return good;
    }
    ssize_t got = fetch(raw, out, room);
    if (got < 0)
        return fault_system(faults, raw->path, "cannot be read", errno);
    *n = (size_t)got;
    raw->bytes_read += *n;
    if (raw->hashing)
        hash_feed(&raw->hash, out, *n);
    return true;
}

static void stop_ahead(struct raw *raw)
{
    ahead_stop(raw->ahead);
    raw->ahead = NULL;
}

void raw_digest(struct raw *raw, char hex[HASH_HEX_SIZE])
{
    stop_ahead(raw);
    raw->hashing = false;
    hash_end(&raw->hash, hex);
}

bool raw_has_grown(const struct raw *raw)
{
    struct stat about;
    return raw->fd >= 0 && fstat(raw->fd, &about) == 0 && about.st_size > 0 &&
           (uint64_t)about.st_size > raw->bytes_read;
}

void raw_close(struct raw *raw)
{
    stop_ahead(raw);
    if (raw->fd >= 0)
        close(raw->fd);
    raw->fd = -1;
}
