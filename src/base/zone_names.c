/* The names of the time-zone database: the paths of its files. */
#include "base/text.h"
#include "base/zone.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

enum { NAMES_MAX = 4096, DEPTH_MOST = 3, PATH_SIZE = 512 };

struct names {
    char **items;
    size_t n;
};

/* The database's own files begin with these four letters; its tables do not. */
static bool is_zone(const char *path)
{
    char magic[4] = "";
    FILE *file = fopen(path, "re");
    if (file == NULL)
        return false;
    bool good = fread(magic, 1, sizeof magic, file) == sizeof magic;
    fclose(file);
    return good && memcmp(magic, "TZif", sizeof magic) == 0;
}

/* posix/, right/, localtime and posixrules begin with a small letter. */
static bool is_candidate(const char *name)
{
    return name[0] >= 'A' && name[0] <= 'Z' && !text_same(name, "Factory") &&
           strchr(name, '.') == NULL;
}

static void add_name(struct names *names, const char *name)
{
    char *copy = strdup(name);
    if (copy != NULL)
        names->items[names->n++] = copy;
}

/* What cannot be looked at is left out: this only serves a hint. */
static void look_into(const char *folder, const char *head, int depth, struct names *names)
{
    char path[PATH_SIZE];
    char name[ZONE_NAME_SIZE];
    struct stat status;
    snprintf(path, sizeof path, "%s/%s", folder, head);
    DIR *open = opendir(path);
    if (open == NULL)
        return;
    for (struct dirent *entry = readdir(open); entry != NULL; entry = readdir(open)) {
        size_t n = (size_t)snprintf(name, sizeof name, "%s%s%s", head, *head == '\0' ? "" : "/",
                                    entry->d_name);
        size_t whole = (size_t)snprintf(path, sizeof path, "%s/%s", folder, name);
        if (!is_candidate(entry->d_name) || n >= sizeof name || whole >= sizeof path ||
            names->n == NAMES_MAX || stat(path, &status) != 0)
            continue;
        if (S_ISDIR(status.st_mode) && depth < DEPTH_MOST)
            look_into(folder, name, depth + 1, names);
        else if (S_ISREG(status.st_mode) && is_zone(path))
            add_name(names, name);
    }
    closedir(open);
}

static int by_letters(const void *a, const void *b)
{
    return strcmp(*(char *const *)a, *(char *const *)b);
}

/* The last part alone, as people know it. */
static const char *nearest_tail(const struct names *names, const char *name)
{
    const char **tails = calloc(names->n + 1, sizeof *tails);
    const char *found = NULL;
    if (tails == NULL)
        return NULL;
    for (size_t i = 0; i < names->n; i++) {
        const char *slash = strrchr(names->items[i], '/');
        tails[i] = slash == NULL ? names->items[i] : slash + 1;
    }
    const char *tail = text_nearest(name, tails, names->n);
    for (size_t i = 0; i < names->n && found == NULL && tail != NULL; i++)
        found = tails[i] == tail ? names->items[i] : NULL;
    free(tails);
    return found;
}

const char *zone_nearest(const char *folder, const char *name, char *out)
{
    struct names names = {calloc(NAMES_MAX, sizeof *names.items), 0};
    if (names.items == NULL)
        return NULL;
    look_into(folder, "", 1, &names);
    qsort(names.items, names.n, sizeof *names.items, by_letters);
    const char *near = text_nearest(name, (const char *const *)names.items, names.n);
    if (near == NULL)
        near = nearest_tail(&names, name);
    if (near != NULL)
        strcpy(out, near);
    for (size_t i = 0; i < names.n; i++)
        free(names.items[i]);
    free(names.items);
    return near != NULL ? out : NULL;
}
