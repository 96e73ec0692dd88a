#include "base/files.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

bool file_exists(const char *path)
{
    struct stat info;
    return lstat(path, &info) == 0;
}

const char *path_base(const char *path)
{
    const char *slash = strrchr(path, '/');
    return slash == NULL ? path : slash + 1;
}

char *path_beside(const char *beside, const char *name, struct faults *faults)
{
    int folder = (int)(path_base(beside) - beside);
    if (name[0] == '/')
        folder = 0;
    return text_copyf(faults, "%.*s%s", folder, beside, name);
}

char *path_with_tail(const char *path, const char *tail, struct faults *faults)
{
    const char *base = path_base(path);
    const char *dot = strrchr(base, '.');
    int n = (int)(dot == NULL || dot == base ? strlen(path) : (size_t)(dot - path));
    return text_copyf(faults, "%.*s%s", n, path, tail);
}

static bool read_refused(const char *path, struct faults *faults, int error_number)
{
    if (fault_of_machine(error_number))
        return fault_system(faults, path, "cannot be read", error_number);
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(path, 0, 0));
    if (error_number == ENOENT) {
        fault_found(fault, "there is no such file");
        fault_hint(fault, "check the name and the folder; 'ls' shows what is there");
    } else if (error_number == EISDIR) {
        fault_found(fault, "is a folder, not a file");
        fault_hint(fault, "name the file itself");
    } else {
        fault_found(fault, "cannot be read: %s", strerror(error_number));
        fault_hint(fault, "check what it is and who may read it");
    }
    return false;
}

static bool read_stream(FILE *file, const char *path, size_t limit, struct text *out,
                        struct faults *faults)
{
    char buffer[16384];
    size_t n;
    while ((n = fread(buffer, 1, sizeof buffer, file)) > 0) {
        text_add_bytes(out, buffer, n);
        if (out->length > limit) {
            struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(path, 0, 0));
            fault_found(fault, "is larger than %zu bytes", limit);
            fault_hint(fault, "this does not look like the right file; check the name");
            return false;
        }
    }
    if (ferror(file))
        return read_refused(path, faults, errno);
    return text_ok(out, faults);
}

bool file_read(const char *path, size_t limit, struct text *out, struct faults *faults)
{
    struct stat info;
    if (stat(path, &info) != 0)
        return read_refused(path, faults, errno);
    if (S_ISDIR(info.st_mode))
        return read_refused(path, faults, EISDIR);
    FILE *file = fopen(path, "rb");
    if (file == NULL)
        return read_refused(path, faults, errno);
    bool good = read_stream(file, path, limit, out, faults);
    fclose(file);
    return good;
}

static bool write_all(int fd, const char *bytes, size_t n)
{
    while (n > 0) {
        ssize_t done = write(fd, bytes, n);
        if (done < 0 && errno == EINTR)
            continue;
        if (done < 0)
            return false;
        bytes += done;
        n -= (size_t)done;
    }
    return true;
}

/* Opens a file that must not exist yet. `named` is what messages call it: while a folder is not yet
 * swapped in, its files go by the place where they will stand. Returns: -1 with a fault. */
static int open_new(const char *path, const char *named, struct faults *faults)
{
    int fd = open(path, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    if (fd >= 0)
        return fd;
    if (errno != EEXIST) {
        fault_system(faults, named, "cannot be written", errno);
        return -1;
    }
    struct fault *fault = fault_new(faults, FAULT_USAGE, fault_at(named, 0, 0));
    fault_found(fault, "exists already and is not overwritten");
    fault_hint(fault, "choose another name with -o, or move the file away");
    return -1;
}

/* In:      why     errno of a failed write, or 0
 *          sync    waits until the disk has it; else the disk only begins: the folder waits */
static bool close_new(int fd, int why, bool sync, const char *path, const char *named,
                      struct faults *faults)
{
    if (why == 0 && sync && fsync(fd) != 0)
        why = errno;
    if (!sync)
        sync_file_range(fd, 0, 0, SYNC_FILE_RANGE_WRITE);
    if (close(fd) != 0 && why == 0)
        why = errno;
    if (why == 0)
        return true;
    unlink(path);
    return fault_system(faults, named, "cannot be written", why);
}

static bool write_new(const char *path, const char *named, const char *bytes, size_t n, bool sync,
                      struct faults *faults)
{
    int fd = open_new(path, named, faults);
    return fd >= 0 && close_new(fd, write_all(fd, bytes, n) ? 0 : errno, sync, path, named, faults);
}

bool file_write_new(const char *path, const char *bytes, size_t n, struct faults *faults)
{
    return write_new(path, path, bytes, n, true, faults);
}

char *folder_path(const struct folder *folder, const char *name, struct faults *faults)
{
    return text_copyf(faults, "%s/%s", folder->partial, name);
}

bool folder_write(struct folder *folder, const char *name, const char *bytes, size_t n,
                  struct faults *faults)
{
    char *path = folder_path(folder, name, faults);
    char *named = text_copyf(faults, "%s/%s", folder->target, name);
    bool good = path != NULL && named != NULL && write_new(path, named, bytes, n, false, faults);
    free(named);
    free(path);
    return good;
}

static bool take_bytes(void *state, const char *bytes, size_t n)
{
    struct folder_file *file = state;
    if (write_all(file->fd, bytes, n))
        return true;
    file->why = errno;
    return false;
}

static void free_file(struct folder_file *file)
{
    text_free(&file->text);
    free(file->path);
    free(file->named);
    file->path = file->named = NULL;
    file->fd = -1;
}

bool folder_file_open(struct folder_file *file, const struct folder *folder, const char *name,
                      struct faults *faults)
{
    memset(file, 0, sizeof *file);
    text_drain(&file->text, take_bytes, file);
    file->path = folder_path(folder, name, faults);
    file->named = text_copyf(faults, "%s/%s", folder->target, name);
    file->fd = -1;
    if (file->path != NULL && file->named != NULL)
        file->fd = open_new(file->path, file->named, faults);
    if (file->fd < 0)
        free_file(file);
    return file->fd >= 0;
}

bool folder_file_close(struct folder_file *file, struct faults *faults)
{
    text_flush(&file->text);
    bool whole = file->why != 0 || text_ok(&file->text, faults);
    bool good = close_new(file->fd, file->why, false, file->path, file->named, faults) && whole;
    free_file(file);
    return good;
}
