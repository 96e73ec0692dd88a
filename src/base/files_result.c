#include "base/files_result.h"

#include "base/files.h"
#include "base/text.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

enum { TRIES = 10 };

static bool is_dots(const char *name)
{
    return text_same(name, ".") || text_same(name, "..");
}

void result_remove(const char *path)
{
    DIR *directory = opendir(path);
    if (directory != NULL) {
        struct dirent *entry;
        while ((entry = readdir(directory)) != NULL)
            if (!is_dots(entry->d_name))
                unlinkat(dirfd(directory), entry->d_name, 0);
        closedir(directory);
    }
    rmdir(path);
}

/* Reads n bytes, fewer only at the file's end. Returns: how many, -1 with errno. */
static ssize_t read_full(int fd, char *bytes, size_t n)
{
    size_t done = 0;
    while (done < n) {
        ssize_t more = read(fd, bytes + done, n - done);
        if (more < 0 && errno == EINTR)
            continue;
        if (more < 0)
            return -1;
        if (more == 0)
            break;
        done += (size_t)more;
    }
    return (ssize_t)done;
}

/* The first bytes of the marker. Returns: how many were read, -1 with errno. */
static ssize_t read_head(const char *path, char *head, size_t n)
{
    int folder = open(path, O_RDONLY | O_DIRECTORY | O_NOFOLLOW | O_CLOEXEC);
    if (folder < 0)
        return -1;
    int marker = openat(folder, FOLDER_MARKER, O_RDONLY | O_NONBLOCK | O_NOCTTY | O_CLOEXEC);
    ssize_t got = marker < 0 ? -1 : read_full(marker, head, n);
    int why = errno;
    if (marker >= 0)
        close(marker);
    close(folder);
    errno = why;
    return got;
}

enum result_owner result_owner(const char *path)
{
    static const char head[] = "{\n  \"schema\": \"etabench";
    char found[sizeof head - 1];
    ssize_t n = read_head(path, found, sizeof found);
    if (n < 0 && fault_of_machine(errno))
        return RESULT_UNKNOWN;
    bool ours = n == (ssize_t)sizeof found && memcmp(found, head, sizeof found) == 0;
    return ours ? RESULT_OURS : RESULT_OTHER;
}

/* A name as our writers make them; anything else in a result folder is the user's. A file of
 * gnuplot's has no name but for an instant, in which the program may have been killed. */
static bool is_our_name(const char *name)
{
    static const char *const tails[] = {".csv", ".gp", ".svg", ".png"};
    if (text_same(name, FOLDER_MARKER) || text_same(name, "report.txt") ||
        text_same(name, "report.html") || text_same(name, "projector.html") ||
        text_starts(name, ".drawing-"))
        return true;
    const char *dot = strrchr(name, '.');
    for (size_t i = 0; dot != NULL && i < sizeof tails / sizeof tails[0]; i++)
        if (text_same(dot, tails[i]))
            return true;
    return false;
}

static bool is_text(const char *name)
{
    const char *dot = strrchr(name, '.');
    return dot != NULL && text_same(dot, ".txt");
}

/* Texts are the user's in a result; in a hidden folder they are the demo's. */
static bool find_stranger(const char *path, bool hidden, char stranger[STRANGER_SIZE])
{
    stranger[0] = '\0';
    DIR *directory = opendir(path);
    if (directory == NULL)
        return false;
    struct dirent *entry;
    while ((entry = readdir(directory)) != NULL)
        if (!is_dots(entry->d_name) && !is_our_name(entry->d_name) &&
            !(hidden && is_text(entry->d_name)))
            snprintf(stranger, STRANGER_SIZE, "%.99s", entry->d_name);
    closedir(directory);
    return true;
}

bool result_stranger(const char *path, char stranger[STRANGER_SIZE])
{
    return find_stranger(path, false, stranger);
}

/* Opens and locks a folder that still stands at `path` afterwards.
 * Returns: false if another run holds it or it went away; true with lock -1 where nothing can
 *          lock. */
static bool lock_folder(const char *path, int *lock)
{
    struct stat held;
    struct stat there;
    *lock = open(path, O_RDONLY | O_DIRECTORY | O_NOFOLLOW | O_CLOEXEC);
    if (*lock < 0)
        return errno != ENOENT;
    if (flock(*lock, LOCK_EX | LOCK_NB) == 0) {
        if (fstat(*lock, &held) == 0 && lstat(path, &there) == 0 && held.st_ino == there.st_ino)
            return true;
        errno = EWOULDBLOCK;
    }
    bool busy = errno == EWOULDBLOCK;
    close(*lock);
    *lock = -1;
    return !busy;
}

/* Between making and locking, another run may take the new folder for a leftover: then once
 * more. */
bool result_make_hidden(char *path, int *lock)
{
    char *tail = path + strlen(path) - TEMPLATE_TAIL;
    for (int i = 0; i < TRIES; i++) {
        memcpy(tail, "XXXXXX", TEMPLATE_TAIL);
        if (mkdtemp(path) == NULL)
            return false;
        if (lock_folder(path, lock))
            return true;
    }
    errno = EBUSY;
    return false;
}

/* ".BASE" + middle + six characters. */
static bool is_hidden_name(const char *name, const char *base, const char *middle)
{
    size_t n_base = strlen(base);
    size_t n_middle = strlen(middle);
    return strlen(name) == 1 + n_base + n_middle + TEMPLATE_TAIL && name[0] == '.' &&
           memcmp(name + 1, base, n_base) == 0 && memcmp(name + 1 + n_base, middle, n_middle) == 0;
}

static void clear_one(const char *path, const char *target, bool was_old)
{
    char stranger[STRANGER_SIZE];
    int lock;
    if (!lock_folder(path, &lock) || lock < 0)
        return;
    struct text old = {0};
    text_addf(&old, "%s.old", target);
    bool plain = !old.failed && find_stranger(path, !was_old, stranger) && stranger[0] == '\0';
    if (plain && was_old && result_owner(path) == RESULT_OURS && !file_exists(text_string(&old)))
        plain = rename(path, text_string(&old)) != 0;
    if (plain)
        result_remove(path);
    text_free(&old);
    close(lock);
}

void result_clear_leftovers(const char *target)
{
    const char *base = path_base(target);
    int n = (int)(base - target);
    struct text path = {0};
    text_addf(&path, "%.*s.", n, target);
    DIR *directory = path.failed ? NULL : opendir(text_string(&path));
    struct dirent *entry;
    while (directory != NULL && (entry = readdir(directory)) != NULL) {
        bool was_old = is_hidden_name(entry->d_name, base, ".old-");
        if (!was_old && !is_hidden_name(entry->d_name, base, ".partial-"))
            continue;
        text_clear(&path);
        text_addf(&path, "%.*s%s", n, target, entry->d_name);
        if (!path.failed)
            clear_one(text_string(&path), target, was_old);
    }
    if (directory != NULL)
        closedir(directory);
    text_free(&path);
}
