/* Whole descriptions: each file of testdata/bad/description is named after its fault and has its
 * exact message beside it; each of testdata/good/description is read without a fault. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/text.h"
#include "run/setup.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define BAD "testdata/bad/description"
#define GOOD "testdata/good/description"

enum { BAD_FILES = 257, GOOD_FILES = 6 };

static struct faults faults;
static struct test_setup setup;

static bool read_setup(const char *path)
{
    faults_init(&faults);
    setup_init(&setup);
    bool good = setup_read(path, &setup, &faults);
    assert_int_equal(good, !faults_any(&faults));
    return good;
}

static char *printed(void)
{
    char *bytes = NULL;
    size_t n = 0;
    FILE *out = open_memstream(&bytes, &n);
    assert_non_null(out);
    faults_print(&faults, "etabench", out);
    assert_int_equal(fclose(out), 0);
    return bytes;
}

static void file_bytes(const char *path, char *out, size_t size)
{
    FILE *file = fopen(path, "rb");
    if (file == NULL)
        fail_msg("%s is missing", path);
    size_t n = fread(out, 1, size - 1, file);
    out[n] = '\0';
    fclose(file);
}

/* Calls `each` for every NAME.txt of a folder. Returns: how many there were. */
static size_t walk(const char *folder, void (*each)(const char *path))
{
    DIR *directory = opendir(folder);
    assert_non_null(directory);
    size_t n = 0;
    struct dirent *entry;
    while ((entry = readdir(directory)) != NULL) {
        size_t length = strlen(entry->d_name);
        if (length < 5 || strcmp(entry->d_name + length - 4, ".txt") != 0)
            continue;
        char path[300];
        snprintf(path, sizeof path, "%s/%s", folder, entry->d_name);
        each(path);
        n++;
    }
    closedir(directory);
    return n;
}

static void check_bad(const char *path)
{
    char expected_path[310];
    char expected[16384];
    snprintf(expected_path, sizeof expected_path, "%.*s.err", (int)strlen(path) - 4, path);
    file_bytes(expected_path, expected, sizeof expected);
    bool good = read_setup(path);
    char *got = printed();
    setup_free(&setup);
    setup_free(&setup);
    if (good || strcmp(got, expected) != 0)
        fail_msg("%s\n--- said:\n%s--- expected:\n%s", path, got, expected);
    free(got);
}

static void bad_descriptions_say_what_is_wrong(void **state)
{
    (void)state;
    assert_int_equal(walk(BAD, check_bad), BAD_FILES);
}

static void check_good(const char *path)
{
    if (!read_setup(path)) {
        char *got = printed();
        fail_msg("%s: %s", path, got);
    }
    setup_free(&setup);
}

static void good_descriptions_are_read(void **state)
{
    (void)state;
    assert_int_equal(walk(GOOD, check_good), GOOD_FILES);
}

static void what_is_no_file_gives_one_message(void **state)
{
    (void)state;
    static const struct {
        const char *path;
        const char *found;
    } rows[] = {
        {BAD, "is a folder, not a file"},
        {BAD "/absent.txt", "there is no such file"},
    };
    for (size_t i = 0; i < 2; i++) {
        assert_false(read_setup(rows[i].path));
        assert_int_equal(faults.n, 1);
        assert_string_equal(faults.items[0].found, rows[i].found);
        assert_int_equal(faults_status(&faults), 3);
        setup_free(&setup);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(bad_descriptions_say_what_is_wrong),
        cmocka_unit_test(good_descriptions_are_read),
        cmocka_unit_test(what_is_no_file_gives_one_message),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
