#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "aid_folder.h"

#include "base/text.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

char *aid_folder(void)
{
    const char *base = getenv("TMPDIR");
    char path[4096];
    snprintf(path, sizeof path, "%s/etabench-test-XXXXXX",
             base && base[0] == '/' ? base : P_tmpdir);
    return mkdtemp(path) ? strdup(path) : NULL;
}

static int by_name(const void *a, const void *b)
{
    return strcmp(*(char *const *)a, *(char *const *)b);
}

char *aid_list(const char *folder)
{
    char *names[200];
    size_t n = 0;
    DIR *dir = opendir(folder);
    struct dirent *entry;
    while (dir && n < COUNT(names) && (entry = readdir(dir)))
        if (strcmp(entry->d_name, ".") != 0 && strcmp(entry->d_name, "..") != 0)
            names[n++] = strdup(entry->d_name);
    if (dir)
        closedir(dir);
    qsort(names, n, sizeof names[0], by_name);
    struct text list = {0};
    for (size_t i = 0; i < n; i++) {
        text_addf(&list, "%s%s", i > 0 ? " " : "", names[i]);
        free(names[i]);
    }
    char *copy = strdup(text_string(&list));
    text_free(&list);
    return copy;
}

void aid_remove(const char *folder)
{
    DIR *dir = opendir(folder);
    struct dirent *entry;
    while (dir && (entry = readdir(dir))) {
        if (strcmp(entry->d_name, ".") == 0 || strcmp(entry->d_name, "..") == 0)
            continue;
        char path[4096];
        snprintf(path, sizeof path, "%s/%s", folder, entry->d_name);
        if (unlink(path) != 0)
            aid_remove(path);
    }
    if (dir)
        closedir(dir);
    rmdir(folder);
}

void aid_write(const char *folder, const char *name, const char *bytes, size_t n, char *path)
{
    snprintf(path, 300, "%s/%s", folder, name);
    FILE *file = fopen(path, "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(bytes, 1, n, file), n);
    assert_int_equal(fclose(file), 0);
}

size_t aid_count_files(const char *folder)
{
    size_t n = 0;
    DIR *dir = opendir(folder);
    assert_non_null(dir);
    for (struct dirent *entry = readdir(dir); entry != NULL; entry = readdir(dir))
        n += entry->d_name[0] != '.';
    closedir(dir);
    return n;
}
