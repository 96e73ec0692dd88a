#include "base/files.h"

#include "base/files_result.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* Refuses if an older result, which would be removed, holds something that we never write. */
static bool holds_only_ours(const char *path, struct faults *faults)
{
    char other[STRANGER_SIZE];
    if (!result_stranger(path, other))
        return fault_system(faults, path, "cannot be looked into", errno);
    if (other[0] == '\0')
        return true;
    struct fault *fault = fault_new(faults, FAULT_USAGE, fault_at(path, 0, 0));
    fault_found(fault, "would be replaced, but '%s' in it is not this program's; it is left alone",
                other);
    fault_hint(fault, "move that file, or the whole folder, away; or choose another one with -o");
    return false;
}

/* Whether TARGET.old is free to take the earlier result: absent, or an older one of ours. */
static bool old_can_go(const char *old, struct faults *faults)
{
    if (!file_exists(old))
        return true;
    enum result_owner owner = result_owner(old);
    if (owner == RESULT_UNKNOWN)
        return fault_system(faults, old, "cannot be looked into", errno);
    if (owner == RESULT_OURS)
        return holds_only_ours(old, faults);
    struct fault *fault = fault_new(faults, FAULT_USAGE, fault_at(old, 0, 0));
    fault_found(fault, "stands where the earlier result should be kept; it is left alone");
    fault_hint(fault, "move it away, or choose another folder with -o");
    return false;
}

static bool check_old(const char *target, struct faults *faults)
{
    char *old = text_copyf(faults, "%s.old", target);
    bool good = old != NULL && old_can_go(old, faults);
    free(old);
    return good;
}

/* `parent` ends in "/." or is "." */
static bool refuse_parent(const char *target, const char *parent, int why, struct faults *faults)
{
    if (why != ENOENT && why != ENOTDIR) {
        fault_system(faults, target, "the folder that should hold it cannot be written", why);
        fault_hint(&faults->items[faults->n - 1], "choose a place of your own with -o");
        return false;
    }
    size_t n = strlen(parent);
    while (n > 1 && (parent[n - 1] == '.' || parent[n - 1] == '/'))
        n--;
    struct fault *fault = fault_new(faults, FAULT_USAGE, fault_at(target, 0, 0));
    if (why == ENOTDIR)
        fault_found(fault, "'%.*s' is no folder that could hold it", (int)n, parent);
    else
        fault_found(fault, "there is no folder '%.*s' to hold it", (int)n, parent);
    fault_hint(fault, why == ENOTDIR ? "choose another place"
                                     : "make that folder first (mkdir), or choose another place");
    return false;
}

bool folder_parent_check(const char *target, struct faults *faults)
{
    char *parent = path_beside(target, ".", faults);
    if (parent == NULL)
        return false;
    int why = access(parent, W_OK | X_OK) == 0 ? 0 : errno;
    bool good = why == 0 || refuse_parent(target, parent, why, faults);
    free(parent);
    return good;
}

bool folder_check(const char *target, struct faults *faults)
{
    bool there = file_exists(target);
    enum result_owner owner = there ? result_owner(target) : RESULT_OTHER;
    if (owner == RESULT_UNKNOWN)
        return fault_system(faults, target, "cannot be looked into", errno);
    if (there && owner == RESULT_OTHER) {
        struct fault *fault = fault_new(faults, FAULT_USAGE, fault_at(target, 0, 0));
        fault_found(fault, "exists and is not a result folder of this program; it is left alone");
        fault_hint(fault, "move it away, or choose another folder with -o");
        return false;
    }
    return folder_parent_check(target, faults) && (!there || check_old(target, faults));
}

static void hold_signals(struct folder *folder)
{
    sigset_t held;
    sigemptyset(&held);
    sigaddset(&held, SIGINT);
    sigaddset(&held, SIGTERM);
    sigaddset(&held, SIGHUP);
    sigprocmask(SIG_BLOCK, &held, &folder->mask);
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
    hold_signals(folder);
    result_clear_leftovers(target);
    if (!result_make_hidden(folder->partial, &folder->lock)) {
        fault_system(faults, target, "a folder beside it cannot be made", errno);
        sigprocmask(SIG_SETMASK, &folder->mask, NULL);
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

static void close_folder(struct folder *folder)
{
    bool open = folder->partial != NULL;
    sigset_t mask = folder->mask;
    free(folder->target);
    free(folder->partial);
    if (open && folder->lock >= 0)
        close(folder->lock);
    memset(folder, 0, sizeof *folder);
    if (open)
        sigprocmask(SIG_SETMASK, &mask, NULL);
}

/* Where the result before the earlier one waits until the swap has succeeded. */
static char *waiting_place(const struct folder *folder, int *lock, struct faults *faults)
{
    const char *base = path_base(folder->target);
    char *place = text_copyf(faults, "%.*s.%s.old-XXXXXX", (int)(base - folder->target),
                             folder->target, base);
    if (place != NULL && !result_make_hidden(place, lock)) {
        fault_system(faults, folder->target, "a folder beside it cannot be made", errno);
        free(place);
        return NULL;
    }
    return place;
}

/* A step of the swap taken back. What cannot be put back is named, since it must not be lost. */
static void put_back(const char *from, const char *to, struct faults *faults)
{
    if (rename(from, to) == 0)
        return;
    int why = errno;
    struct fault *fault = fault_new(faults, FAULT_MACHINE, fault_at(from, 0, 0));
    fault_found(fault, "holds an earlier result and could not be moved back: %s", strerror(why));
    fault_hint(fault, "rename it to '%s' by hand", to);
}

/* target -> old, partial -> target; both are taken back if the second fails. */
static bool exchange(struct folder *folder, const char *old, struct faults *faults)
{
    if (rename(folder->target, old) != 0)
        return fault_system(faults, folder->target, "the earlier result cannot be set aside",
                            errno);
    if (rename(folder->partial, folder->target) == 0)
        return true;
    fault_system(faults, folder->target, "the finished folder cannot be put there", errno);
    put_back(old, folder->target, faults);
    return false;
}

/* With an older result out of the way, which is removed only when all is done. */
static bool exchange_around(struct folder *folder, const char *old, struct faults *faults)
{
    int lock = -1;
    char *waiting = waiting_place(folder, &lock, faults);
    if (waiting == NULL)
        return false;
    bool moved = rename(old, waiting) == 0;
    if (!moved)
        fault_system(faults, old, "cannot be moved aside", errno);
    bool good = moved && exchange(folder, old, faults);
    if (moved && !good)
        put_back(waiting, old, faults);
    else
        result_remove(waiting);
    if (lock >= 0)
        close(lock);
    free(waiting);
    return good;
}

static bool swap_in(struct folder *folder, const char *old, struct faults *faults)
{
    enum result_owner owner = result_owner(folder->target);
    if (owner == RESULT_UNKNOWN)
        return fault_system(faults, folder->target, "cannot be looked into", errno);
    if (owner == RESULT_OTHER) {
        if (rename(folder->partial, folder->target) == 0)
            return true;
        return fault_system(faults, folder->target, "the finished folder cannot be put there",
                            errno);
    }
    if (!old_can_go(old, faults))
        return false;
    return file_exists(old) ? exchange_around(folder, old, faults) : exchange(folder, old, faults);
}

/* Opened for writing, which some file systems of other makers ask for, unless a umask forbids it.
 * Returns: errno of what could not be brought to the disk, or 0 */
static int sync_one(int in, const char *name)
{
    int fd = openat(in, name, O_WRONLY | O_CLOEXEC | O_NOFOLLOW);
    if (fd < 0 && errno == EACCES)
        fd = openat(in, name, O_RDONLY | O_CLOEXEC | O_NOFOLLOW);
    int why = fd < 0 || fsync(fd) != 0 ? errno : 0;
    if (fd >= 0)
        close(fd);
    return why;
}

/* Brings the folder to the disk: the power may fail right after the swap. At the end, for all files
 * together: what was written first is there by then, and the disk is not waited for each time. */
static bool sync_all(const struct folder *folder, struct faults *faults)
{
    DIR *all = opendir(folder->partial);
    int why = all == NULL ? errno : 0;
    while (why == 0) {
        errno = 0;
        const struct dirent *entry = readdir(all);
        why = errno;
        if (entry == NULL)
            break;
        if (entry->d_name[0] != '.')
            why = sync_one(dirfd(all), entry->d_name);
    }
    /* Not every file system can do that with a folder. */
    if (why == 0 && fsync(dirfd(all)) != 0 && errno != EINVAL && errno != ENOTSUP)
        why = errno;
    if (all != NULL)
        closedir(all);
    return why == 0 || fault_system(faults, folder->target, "cannot be written", why);
}

bool folder_commit(struct folder *folder, struct faults *faults)
{
    char *old = text_copyf(faults, "%s.old", folder->target);
    bool good = old != NULL && sync_all(folder, faults) && swap_in(folder, old, faults);
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
        result_remove(folder->partial);
    close_folder(folder);
}
