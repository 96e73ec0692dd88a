#include "base/files.h"

#include <dirent.h>
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
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(path, 0, 0));
    fault_found(fault, "cannot be read: %s", strerror(error_number));
    fault_hint(fault, error_number == ENOENT ? "check the name and the folder"
                                             : "check what it is and who may read it");
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

/* In:      why   errno of a failed write, or 0 */
static bool close_new(int fd, int why, const char *path, const char *named, struct faults *faults)
{
    if (why == 0 && fsync(fd) != 0)
        why = errno;
    if (close(fd) != 0 && why == 0)
        why = errno;
    if (why == 0)
        return true;
    unlink(path);
    return fault_system(faults, named, "cannot be written", why);
}

static bool write_new(const char *path, const char *named, const char *bytes, size_t n,
                      struct faults *faults)
{
    int fd = open_new(path, named, faults);
    return fd >= 0 && close_new(fd, write_all(fd, bytes, n) ? 0 : errno, path, named, faults);
}

bool file_write_new(const char *path, const char *bytes, size_t n, struct faults *faults)
{
    return write_new(path, path, bytes, n, faults);
}

/* Empties and removes a folder of plain files (ours never hold others). */
static void remove_folder(const char *path)
{
    DIR *directory = opendir(path);
    if (directory != NULL) {
        struct dirent *entry;
        while ((entry = readdir(directory)) != NULL)
            if (!text_same(entry->d_name, ".") && !text_same(entry->d_name, ".."))
                unlinkat(dirfd(directory), entry->d_name, 0);
        closedir(directory);
    }
    rmdir(path);
}

/* Ours: a folder whose marker begins as our writer begins it. */
static bool is_ours(const char *path)
{
    static const char head[] = "{\n  \"schema\": \"etabench";
    struct stat info;
    if (lstat(path, &info) != 0 || !S_ISDIR(info.st_mode))
        return false;
    struct text name = {0};
    text_addf(&name, "%s/%s", path, FOLDER_MARKER);
    FILE *file = name.failed ? NULL : fopen(text_string(&name), "rb");
    text_free(&name);
    if (file == NULL)
        return false;
    char found[sizeof head - 1];
    size_t n = fread(found, 1, sizeof found, file);
    fclose(file);
    return n == sizeof found && memcmp(found, head, n) == 0;
}

bool folder_check(const char *target, struct faults *faults)
{
    if (file_exists(target) && !is_ours(target)) {
        struct fault *fault = fault_new(faults, FAULT_USAGE, fault_at(target, 0, 0));
        fault_found(fault, "exists and is not a result folder of this program; it is left alone");
        fault_hint(fault, "choose another folder with -o");
        return false;
    }
    char *parent = path_beside(target, ".", faults);
    if (parent == NULL)
        return false;
    int why = access(parent, W_OK | X_OK) == 0 ? 0 : errno;
    free(parent);
    if (why == 0)
        return true;
    fault_system(faults, target, "the folder that should hold it cannot be written", why);
    fault_hint(&faults->items[faults->n - 1], "choose a folder of your own with -o");
    return false;
}

bool folder_open(struct folder *folder, const char *target, struct faults *faults)
{
    memset(folder, 0, sizeof *folder);
    if (!folder_check(target, faults))
        return false;
    const char *base = path_base(target);
    folder->target = text_copy(target, faults);
    folder->partial =
        text_copyf(faults, "%.*s.%s.partial-XXXXXX", (int)(base - target), target, base);
    if (folder->target == NULL || folder->partial == NULL)
        goto fail;
    if (mkdtemp(folder->partial) == NULL) {
        fault_system(faults, target, "a folder beside it cannot be made", errno);
        goto fail;
    }
    mode_t mask = umask(0);
    umask(mask);
    chmod(folder->partial, 0777 & ~mask); /* mkdtemp makes it private */
    return true;
fail:
    free(folder->target);
    free(folder->partial);
    memset(folder, 0, sizeof *folder);
    return false;
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
    bool good = path != NULL && named != NULL && write_new(path, named, bytes, n, faults);
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
    bool good = close_new(file->fd, file->why, file->path, file->named, faults) && whole;
    free_file(file);
    return good;
}

static void close_folder(struct folder *folder)
{
    free(folder->target);
    free(folder->partial);
    memset(folder, 0, sizeof *folder);
}

/* Moves the earlier result aside; *kept says whether there was one. */
static bool set_aside(const char *target, const char *old, bool *kept, struct faults *faults)
{
    *kept = is_ours(target);
    if (!*kept)
        return true;
    if (file_exists(old) && !is_ours(old)) {
        struct fault *fault = fault_new(faults, FAULT_USAGE, fault_at(old, 0, 0));
        fault_found(fault, "stands where the earlier result should be kept; it is left alone");
        fault_hint(fault, "move it away, or choose another folder with -o");
        return false;
    }
    remove_folder(old);
    return rename(target, old) == 0
               ? true
               : fault_system(faults, target, "the earlier result cannot be set aside", errno);
}

static bool swap_in(struct folder *folder, const char *old, struct faults *faults)
{
    bool kept = false;
    if (!set_aside(folder->target, old, &kept, faults))
        return false;
    if (rename(folder->partial, folder->target) == 0)
        return true;
    int why = errno;
    if (kept && rename(old, folder->target) != 0)
        fault_system(faults, old, "holds the earlier result and could not be moved back", errno);
    return fault_system(faults, folder->target, "the finished folder cannot be put there", why);
}

bool folder_commit(struct folder *folder, struct faults *faults)
{
    char *old = text_copyf(faults, "%s.old", folder->target);
    bool good = old != NULL && swap_in(folder, old, faults);
    free(old);
    if (!good) {
        folder_abandon(folder);
        return false;
    }
    close_folder(folder);
    return true;
}

void folder_abandon(struct folder *folder)
{
    if (folder->partial != NULL)
        remove_folder(folder->partial);
    close_folder(folder);
}
