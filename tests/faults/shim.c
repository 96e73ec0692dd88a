#include "shim.h"

#include <dirent.h>
#include <errno.h>
#include <execinfo.h>
#include <fcntl.h>
#include <pthread.h>
#include <signal.h>
#include <spawn.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#if defined(__SANITIZE_ADDRESS__)
#define OWN_ALLOCATIONS_ONLY 1
#elif defined(__has_feature)
#if __has_feature(address_sanitizer)
#define OWN_ALLOCATIONS_ONLY 1
#endif
#endif

static struct {
    struct shim_plan plan;
    bool armed;
    long count[SHIM_CALLS];
    long disk;
} shim;

void shim_arm(const struct shim_plan *plan)
{
    void *place;
    backtrace(&place, 1); /* the first one allocates */
    memset(&shim, 0, sizeof shim);
    shim.plan = *plan;
    shim.armed = true;
}

void shim_disarm(void)
{
    shim.armed = false;
}

long shim_count(enum shim_call call)
{
    return call == SHIM_DISK ? shim.disk : shim.count[call];
}

bool shim_is_own_only(void)
{
#ifdef OWN_ALLOCATIONS_ONLY
    return true;
#else
    return false;
#endif
}

long shim_stride(void)
{
    return shim_is_own_only() ? 3 : 1;
}

const char *shim_name(enum shim_call call)
{
    static const char *const names[] = {"allocate", "open",  "nameless", "read", "write",
                                        "fsync",    "close", "rename",   "make", "spawn",
                                        "remove",   "thread", "none", "disk"};
    return names[call];
}

static bool is_due(enum shim_call call)
{
    /* Threads come here at the same time. */
    long n = __atomic_add_fetch(&shim.count[call], 1, __ATOMIC_RELAXED), disk = 0;
    if (call != SHIM_ALLOCATE)
        disk = __atomic_add_fetch(&shim.disk, 1, __ATOMIC_RELAXED);
    if (shim.plan.call == SHIM_DISK && call != SHIM_ALLOCATE)
        n = disk;
    else if (shim.plan.call != call)
        return false;
    return n == shim.plan.at || (shim.plan.onwards && n > shim.plan.at);
}

extern const char __executable_start, etext; /* of the linker */

static bool is_own_code(const void *place)
{
    return (const char *)place >= &__executable_start && (const char *)place < &etext;
}

/* The callers, all the way up; of those in libraries only the innermost. */
static uint64_t way_here(void)
{
    enum { DEPTH = 64 };
    void *places[DEPTH];
    uint64_t way = 0xCBF29CE484222325U;
    bool inner = true;
    int depth = backtrace(places, DEPTH);
    for (int i = 0; i < depth; i++) {
        bool own = is_own_code(places[i]);
        if (own || inner)
            way = (way ^ (uint64_t)(uintptr_t)places[i]) * 0x100000001B3U;
        inner = inner && own;
    }
    return way;
}

/* Notes an allocation to which no allocation noted before came the same way. */
static void note_way(void)
{
    struct shim_notes *notes = shim.plan.notes;
    uint64_t way = way_here();
    for (long i = 0; i < notes->n; i++)
        if (notes->way[i] == way)
            return;
    if (notes->n >= SHIM_NOTES_MAX)
        return;
    notes->way[notes->n] = way;
    notes->at[notes->n++] = shim.count[SHIM_ALLOCATE];
}

/* Returns: what is to be done instead of the call, or besides it: SHIM_FAIL, SHIM_SHORT or
 *          nothing. */
static enum shim_action meet(enum shim_call call)
{
    if (!shim.armed || !is_due(call))
        return SHIM_NOTHING;
    if (shim.plan.action == SHIM_NOTE)
        note_way();
    switch (shim.plan.action) {
    case SHIM_FAIL:
        errno = shim.plan.error;
        return SHIM_FAIL;
    case SHIM_SHORT:
        return SHIM_SHORT;
    case SHIM_SIGNAL:
        raise(shim.plan.signal_number);
        return SHIM_NOTHING;
    case SHIM_HOOK:
        shim.armed = false; /* the hook's own calls are not the program's */
        shim.plan.hook();
        shim.armed = true;
        return SHIM_NOTHING;
    default:
        return SHIM_NOTHING;
    }
}

static bool fails(enum shim_call call)
{
    return meet(call) == SHIM_FAIL;
}

int __real_open(const char *path, int flags, ...);
int __wrap_open(const char *path, int flags, ...);
int __wrap_open(const char *path, int flags, ...)
{
    bool nameless = (flags & O_TMPFILE) == O_TMPFILE;
    va_list rest;
    va_start(rest, flags);
    mode_t mode = (flags & O_CREAT) != 0 || nameless ? va_arg(rest, mode_t) : 0;
    va_end(rest);
    return fails(nameless ? SHIM_NAMELESS : SHIM_OPEN) ? -1 : __real_open(path, flags, mode);
}

int __real_openat(int folder, const char *path, int flags, ...);
int __wrap_openat(int folder, const char *path, int flags, ...);
int __wrap_openat(int folder, const char *path, int flags, ...)
{
    va_list rest;
    va_start(rest, flags);
    mode_t mode = (flags & O_CREAT) != 0 ? va_arg(rest, mode_t) : 0;
    va_end(rest);
    return fails(SHIM_OPEN) ? -1 : __real_openat(folder, path, flags, mode);
}

FILE *__real_fopen(const char *path, const char *mode);
FILE *__wrap_fopen(const char *path, const char *mode);
FILE *__wrap_fopen(const char *path, const char *mode)
{
    if (shim.plan.version != NULL && strcmp(path, "/proc/version") == 0)
        path = shim.plan.version;
    return fails(SHIM_OPEN) ? NULL : __real_fopen(path, mode);
}

DIR *__real_opendir(const char *path);
DIR *__wrap_opendir(const char *path);
DIR *__wrap_opendir(const char *path)
{
    return fails(SHIM_OPEN) ? NULL : __real_opendir(path);
}

ssize_t __real_read(int fd, void *bytes, size_t n);
ssize_t __wrap_read(int fd, void *bytes, size_t n);
ssize_t __wrap_read(int fd, void *bytes, size_t n)
{
    enum shim_action action = meet(SHIM_READ);
    if (action == SHIM_FAIL)
        return -1;
    return __real_read(fd, bytes, action == SHIM_SHORT && n > 1 ? 1 : n);
}

ssize_t __real_write(int fd, const void *bytes, size_t n);
ssize_t __wrap_write(int fd, const void *bytes, size_t n);
ssize_t __wrap_write(int fd, const void *bytes, size_t n)
{
    enum shim_action action = meet(SHIM_WRITE);
    if (action == SHIM_FAIL)
        return -1;
    return __real_write(fd, bytes, action == SHIM_SHORT && n > 1 ? 1 : n);
}

int __wrap_fsync(int fd);
int __wrap_fsync(int fd)
{
    (void)fd;
    return fails(SHIM_FSYNC) ? -1 : 0;
}

/* A close that fails has closed all the same (Linux). */
int __real_close(int fd);
int __wrap_close(int fd);
int __wrap_close(int fd)
{
    bool failing = fails(SHIM_CLOSE);
    int error = errno;
    int done = __real_close(fd);
    if (failing)
        errno = error;
    return failing ? -1 : done;
}

int __real_rename(const char *from, const char *to);
int __wrap_rename(const char *from, const char *to);
int __wrap_rename(const char *from, const char *to)
{
    return fails(SHIM_RENAME) ? -1 : __real_rename(from, to);
}

char *__real_mkdtemp(char *path);
char *__wrap_mkdtemp(char *path);
char *__wrap_mkdtemp(char *path)
{
    return fails(SHIM_MAKE) ? NULL : __real_mkdtemp(path);
}

int __real_mkostemp(char *path, int flags);
int __wrap_mkostemp(char *path, int flags);
int __wrap_mkostemp(char *path, int flags)
{
    return fails(SHIM_MAKE) ? -1 : __real_mkostemp(path, flags);
}

int __real_posix_spawnp(pid_t *pid, const char *file, const posix_spawn_file_actions_t *actions,
                        const posix_spawnattr_t *attributes, char *const *argv, char *const *env);
int __wrap_posix_spawnp(pid_t *pid, const char *file, const posix_spawn_file_actions_t *actions,
                        const posix_spawnattr_t *attributes, char *const *argv, char *const *env);
int __wrap_posix_spawnp(pid_t *pid, const char *file, const posix_spawn_file_actions_t *actions,
                        const posix_spawnattr_t *attributes, char *const *argv, char *const *env)
{
    if (fails(SHIM_SPAWN))
        return shim.plan.error;
    return __real_posix_spawnp(pid, file, actions, attributes, argv, env);
}

int __real_unlink(const char *path);
int __wrap_unlink(const char *path);
int __wrap_unlink(const char *path)
{
    return fails(SHIM_REMOVE) ? -1 : __real_unlink(path);
}

int __real_unlinkat(int folder, const char *path, int flags);
int __wrap_unlinkat(int folder, const char *path, int flags);
int __wrap_unlinkat(int folder, const char *path, int flags)
{
    return fails(SHIM_REMOVE) ? -1 : __real_unlinkat(folder, path, flags);
}

int __real_rmdir(const char *path);
int __wrap_rmdir(const char *path);
int __wrap_rmdir(const char *path)
{
    return fails(SHIM_REMOVE) ? -1 : __real_rmdir(path);
}

int __real_pthread_create(pthread_t *thread, const pthread_attr_t *how, void *(*run)(void *),
                          void *state);
int __wrap_pthread_create(pthread_t *thread, const pthread_attr_t *how, void *(*run)(void *),
                          void *state);
int __wrap_pthread_create(pthread_t *thread, const pthread_attr_t *how, void *(*run)(void *),
                          void *state)
{
    return fails(SHIM_THREAD) ? shim.plan.error : __real_pthread_create(thread, how, run, state);
}

#ifdef OWN_ALLOCATIONS_ONLY

void *__real_malloc(size_t n);
void *__wrap_malloc(size_t n);
void *__wrap_malloc(size_t n)
{
    return fails(SHIM_ALLOCATE) ? NULL : __real_malloc(n);
}

void *__real_calloc(size_t n, size_t size);
void *__wrap_calloc(size_t n, size_t size);
void *__wrap_calloc(size_t n, size_t size)
{
    return fails(SHIM_ALLOCATE) ? NULL : __real_calloc(n, size);
}

void *__real_realloc(void *old, size_t n);
void *__wrap_realloc(void *old, size_t n);
void *__wrap_realloc(void *old, size_t n)
{
    return fails(SHIM_ALLOCATE) ? NULL : __real_realloc(old, n);
}

char *__real_strdup(const char *string);
char *__wrap_strdup(const char *string);
char *__wrap_strdup(const char *string)
{
    return fails(SHIM_ALLOCATE) ? NULL : __real_strdup(string);
}

#else

/* The program's allocator in front of the C library's, for its libraries too. */
void *__libc_malloc(size_t n);
void *__libc_calloc(size_t n, size_t size);
void *__libc_realloc(void *old, size_t n);

void *malloc(size_t n)
{
    return fails(SHIM_ALLOCATE) ? NULL : __libc_malloc(n);
}

void *calloc(size_t n, size_t size)
{
    return fails(SHIM_ALLOCATE) ? NULL : __libc_calloc(n, size);
}

void *realloc(void *old, size_t n)
{
    return fails(SHIM_ALLOCATE) ? NULL : __libc_realloc(old, n);
}

#endif
