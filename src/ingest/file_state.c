#include "ingest/file_state.h"

#include <sys/stat.h>

static struct file_state from_stat(int asked, const struct stat *about)
{
    struct file_state state = {.known = asked == 0 && S_ISREG(about->st_mode)};
    if (!state.known)
        return state;
    state.device = about->st_dev;
    state.inode = about->st_ino;
    state.size = about->st_size > 0 ? (uint64_t)about->st_size : 0;
    state.changed = about->st_mtim;
    return state;
}

struct file_state file_state_at(const char *path)
{
    struct stat about = {0};
    int asked = stat(path, &about);
    return from_stat(asked, &about);
}

struct file_state file_state_open(int fd)
{
    struct stat about = {0};
    int asked = fstat(fd, &about);
    return from_stat(asked, &about);
}

static bool same_time(const struct timespec *a, const struct timespec *b)
{
    return a->tv_sec == b->tv_sec && a->tv_nsec == b->tv_nsec;
}

enum file_change file_state_compare(const struct file_state *before, const struct file_state *after,
                                    uint64_t bytes)
{
    if (!before->known || !after->known)
        return FILE_SAME;
    if (before->inode != after->inode || before->device != after->device)
        return FILE_REPLACED;
    if (after->size < bytes || after->size < before->size)
        return FILE_SHORTENED;
    if (after->size == before->size && !same_time(&before->changed, &after->changed))
        return FILE_REWRITTEN;
    return after->size > bytes ? FILE_GREW : FILE_SAME;
}
