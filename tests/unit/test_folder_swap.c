/* Result folders: whatever step of the swap fails, the earlier results are as they were. The
 * expected values are what the test itself wrote before. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "aid_folder.h"
#include "base/files.h"

#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static struct faults faults;
static char *home;

static int enter(void **state)
{
    (void)state;
    faults_init(&faults);
    home = aid_folder();
    return home == NULL;
}

static int leave(void **state)
{
    (void)state;
    aid_remove(home);
    free(home);
    return 0;
}

static const char *inside(const char *name)
{
    static char paths[4][300];
    static int turn;
    char *path = paths[turn++ % 4];
    snprintf(path, sizeof paths[0], "%s/%s", home, name);
    return path;
}

static const char marker[] = "{\n  \"schema\": \"etabench results\"\n}\n";

static bool fill(struct folder *folder, const char *text)
{
    return folder_open(folder, inside("r"), &faults) &&
           folder_write(folder, "report.txt", text, strlen(text), &faults) &&
           folder_write(folder, FOLDER_MARKER, marker, strlen(marker), &faults);
}

static bool make_result(const char *text)
{
    struct folder folder;
    return fill(&folder, text) && folder_commit(&folder, &faults);
}

static void assert_report(const char *name, const char *expected)
{
    struct text text = {0};
    assert_true(file_read(inside(name), 1000, &text, &faults));
    assert_string_equal(text_string(&text), expected);
    text_free(&text);
}

/* The finished folder is taken away before the swap: its last step must fail. */
static void a_failed_swap_is_taken_back(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        const char *results[3]; /* earlier ones, the oldest first */
        const char *listed;
    } rows[] = {
        {"nothing there", {NULL}, ""},
        {"one result", {"one", NULL}, "r"},
        {"one result and one before it", {"one", "two", NULL}, "r r.old"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct folder folder;
        print_message("row '%s'\n", rows[i].name);
        assert_int_equal(enter(state), 0);
        for (size_t k = 0; rows[i].results[k] != NULL; k++)
            assert_true(make_result(rows[i].results[k]));
        assert_true(fill(&folder, "new"));
        aid_remove(folder.partial);
        assert_false(folder_commit(&folder, &faults));
        assert_int_equal(faults_status(&faults), 5);
        char *listed = aid_list(home);
        assert_string_equal(listed, rows[i].listed);
        free(listed);
        if (i == 1)
            assert_report("r/report.txt", "one");
        if (i == 2) {
            assert_report("r/report.txt", "two");
            assert_report("r.old/report.txt", "one");
        }
        leave(state);
    }
}

static void the_users_files_stop_the_swap_before_it_begins(void **state)
{
    (void)state;
    char path[300];
    assert_true(make_result("one"));
    assert_true(make_result("two"));
    aid_write(inside("r.old"), "notes.odt", "mine", 4, path);
    assert_false(folder_check(inside("r"), &faults));
    assert_int_equal(faults.n, 1);
    assert_int_equal(faults_status(&faults), 2);
    assert_string_equal(faults.items[0].found,
                        "would be replaced, but 'notes.odt' in it is not this "
                        "program's; it is left alone");
    assert_report("r.old/report.txt", "one");
    assert_int_equal(unlink(path), 0);
    faults_init(&faults);
    assert_true(folder_check(inside("r"), &faults));
    assert_int_equal(mkdir(inside("r.old/raw"), 0777), 0);
    assert_false(folder_check(inside("r"), &faults));
}

static void a_parent_that_cannot_hold_it_is_named(void **state)
{
    (void)state;
    char path[300], expected[400];
    aid_write(home, "file", "x", 1, path);
    assert_false(folder_parent_check(inside("absent/r"), &faults));
    snprintf(expected, sizeof expected, "there is no folder '%s' to hold it", inside("absent"));
    assert_string_equal(faults.items[0].found, expected);
    assert_false(folder_parent_check(inside("file/r"), &faults));
    snprintf(expected, sizeof expected, "'%s' is no folder that could hold it", path);
    assert_string_equal(faults.items[1].found, expected);
    assert_int_equal(faults_status(&faults), 2);
    assert_true(folder_parent_check(inside("r"), &faults));
}

static bool is_held(int signal_number)
{
    sigset_t now;
    sigprocmask(SIG_BLOCK, NULL, &now);
    return sigismember(&now, signal_number) == 1;
}

static void a_request_to_end_waits_while_it_is_open(void **state)
{
    (void)state;
    struct folder folder;
    static const int signals[] = {SIGINT, SIGTERM, SIGHUP};
    assert_true(fill(&folder, "one"));
    for (size_t i = 0; i < 3; i++)
        assert_true(is_held(signals[i]));
    assert_true(folder_commit(&folder, &faults));
    for (size_t i = 0; i < 3; i++)
        assert_false(is_held(signals[i]));
    assert_true(fill(&folder, "two"));
    folder_abandon(&folder);
    folder_abandon(&folder);
    for (size_t i = 0; i < 3; i++)
        assert_false(is_held(signals[i]));
    assert_report("r/report.txt", "one");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_failed_swap_is_taken_back),
        cmocka_unit_test_setup_teardown(the_users_files_stop_the_swap_before_it_begins, enter,
                                        leave),
        cmocka_unit_test_setup_teardown(a_parent_that_cannot_hold_it_is_named, enter, leave),
        cmocka_unit_test_setup_teardown(a_request_to_end_waits_while_it_is_open, enter, leave),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
