/* Points tables as people and spreadsheets write them. testdata/good/points: the same six points in
 * every dialect, to the last bit. testdata/bad/points: one fault a file, with its exact message
 * beside it (ETABENCH_ACCEPT in the environment writes the messages anew). */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/files.h"
#include "base/text.h"
#include "point/points_table.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { PATH_SIZE = 300, GOOD_FILES = 38, BAD_FILES = 39 };

static struct faults faults;

static bool read_table(const char *path, struct means_list *list)
{
    char hex[HASH_HEX_SIZE];
    faults_init(&faults);
    means_list_init(list);
    return points_read(list, path, hex, &faults);
}

static bool same_point(const struct means *a, const struct means *b)
{
    return strcmp(a->name, b->name) == 0 && strcmp(a->group, b->group) == 0 &&
           memcmp(a->has, b->has, sizeof a->has) == 0 &&
           memcmp(a->mean, b->mean, sizeof a->mean) == 0 && memcmp(a->u, b->u, sizeof a->u) == 0 &&
           a->session == b->session && a->readings == b->readings && a->reduced == b->reduced;
}

static void compare_with_plain(const char *path, const struct means_list *plain)
{
    struct means_list list;
    if (!read_table(path, &list))
        fail_msg("%s: refused: %ld:%ld %s", path, faults.items[0].line, faults.items[0].column,
                 faults.items[0].found);
    if (list.n != plain->n)
        fail_msg("%s: %zu points", path, list.n);
    for (size_t i = 0; i < list.n; i++)
        if (!same_point(&list.items[i], &plain->items[i]))
            fail_msg("%s: point %zu '%s' of '%s' differs", path, i, list.items[i].name,
                     list.items[i].group);
    means_list_free(&list);
}

static void every_dialect_gives_the_same_points(void **state)
{
    (void)state;
    struct means_list plain;
    assert_true(read_table("testdata/good/points/plain.csv", &plain));
    assert_int_equal(plain.n, 6);
    assert_true(plain.items[1].mean[CH_IRRADIANCE] == 964.5);
    assert_true(plain.items[4].mean[CH_OUTLET] == 67.74);
    DIR *folder = opendir("testdata/good/points");
    assert_non_null(folder);
    int n = 0;
    for (struct dirent *entry; (entry = readdir(folder)) != NULL;) {
        char path[PATH_SIZE];
        if (entry->d_name[0] == '.')
            continue;
        snprintf(path, sizeof path, "testdata/good/points/%s", entry->d_name);
        compare_with_plain(path, &plain);
        n++;
    }
    closedir(folder);
    means_list_free(&plain);
    assert_int_equal(n, GOOD_FILES);
}

static void messages(struct text *out)
{
    for (size_t i = 0; i < faults.n; i++) {
        const struct fault *f = &faults.items[i];
        text_addf(out, "%ld:%ld: %s%s%s\n", f->line, f->column, f->field,
                  f->field[0] == '\0' ? "" : ": ", f->found);
        if (f->expected[0] != '\0')
            text_addf(out, "  expected: %s\n", f->expected);
        if (f->hint[0] != '\0')
            text_addf(out, "  %s\n", f->hint);
    }
}

static void compare_message(const char *path)
{
    char err[PATH_SIZE];
    struct text said = {0}, wanted = {0};
    struct means_list list;
    if (read_table(path, &list))
        fail_msg("%s: was accepted", path);
    if (faults_status(&faults) != 3)
        fail_msg("%s: status %d", path, faults_status(&faults));
    messages(&said);
    means_list_free(&list);
    snprintf(err, sizeof err, "%.*s.err", (int)(strlen(path) - 4), path);
    if (getenv("ETABENCH_ACCEPT") != NULL) {
        FILE *file = fopen(err, "wb");
        assert_non_null(file);
        assert_int_equal(fwrite(said.bytes, 1, said.length, file), said.length);
        assert_int_equal(fclose(file), 0);
    }
    faults_init(&faults);
    assert_true(file_read(err, 1 << 16, &wanted, &faults));
    if (!text_same(text_string(&said), text_string(&wanted)))
        fail_msg("%s: said\n%swanted\n%s", path, text_string(&said), text_string(&wanted));
    text_free(&said);
    text_free(&wanted);
}

static void every_fault_has_its_message(void **state)
{
    (void)state;
    DIR *folder = opendir("testdata/bad/points");
    assert_non_null(folder);
    int n = 0;
    for (struct dirent *entry; (entry = readdir(folder)) != NULL;) {
        char path[PATH_SIZE];
        const char *dot = strrchr(entry->d_name, '.');
        if (dot == NULL || strcmp(dot, ".csv") != 0)
            continue;
        snprintf(path, sizeof path, "testdata/bad/points/%s", entry->d_name);
        compare_message(path);
        n++;
    }
    closedir(folder);
    assert_int_equal(n, BAD_FILES);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_dialect_gives_the_same_points),
        cmocka_unit_test(every_fault_has_its_message),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
