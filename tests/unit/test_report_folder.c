/* The result folder: whole or not at all, with the real gnuplot and with bad ones. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "aid_document.h"
#include "base/files.h"
#include "report/folder.h"

#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>

static struct faults faults;
static struct document doc;
static char *folder;
static char target[4096];

static int set_up(void **state)
{
    (void)state;
    faults_init(&faults);
    folder = aid_folder();
    snprintf(target, sizeof target, "%s/plate.results", folder ? folder : "");
    return folder && aid_document(&doc, &faults) ? 0 : -1;
}

static int tear_down(void **state)
{
    (void)state;
    aid_gnuplot(NULL);
    document_free(&doc);
    aid_remove(folder);
    free(folder);
    return 0;
}

static void assert_listing(const char *where, const char *expected)
{
    char *list = aid_list(where);
    assert_string_equal(list, expected);
    free(list);
}

static void read_file(const char *name, struct text *out)
{
    char path[8192];
    snprintf(path, sizeof path, "%s/%s", target, name);
    text_clear(out);
    assert_true(file_read(path, 100 * 1024 * 1024, out, &faults));
}

static void a_whole_folder_holds_every_file(void **state)
{
    (void)state;
    struct text text = {0};
    static const char *const pictures[] = {"budget.svg", "curve.svg", "residuals.svg",
                                           "timeline.svg"};
    assert_true(report_folder(&doc, target, true, NULL, &faults));
    assert_int_equal(faults.n, 0);
    assert_listing(folder, "plate.results");
    assert_listing(target,
                   "budget.csv budget.gp budget.png budget.svg curve.csv curve.gp curve.png "
                   "curve.svg points.csv report.html report.txt residuals.csv residuals.gp "
                   "residuals.png residuals.svg results.json timeline.csv timeline.gp "
                   "timeline.png timeline.svg");
    for (size_t i = 0; i < 4; i++) {
        read_file(pictures[i], &text);
        assert_true(aid_is_well_formed(text_string(&text), text.length));
    }
    text_free(&text);
}

static void without_plots_there_are_no_pictures(void **state)
{
    (void)state;
    assert_true(aid_gnuplot("fails")); /* must not be asked */
    assert_true(report_folder(&doc, target, false, NULL, &faults));
    assert_listing(target, "points.csv report.html report.txt results.json");
}

static void a_bad_gnuplot_leaves_the_earlier_result(void **state)
{
    (void)state;
    static const char *const stubs[] = {"dies", "fails", "half", "silent"};
    for (size_t i = 0; i < sizeof stubs / sizeof stubs[0]; i++) {
        assert_true(aid_gnuplot(stubs[i]));
        assert_false(report_folder(&doc, target, true, NULL, &faults));
        assert_listing(folder, "");
    }
    assert_true(report_folder(&doc, target, false, NULL, &faults));
    assert_false(report_folder(&doc, target, true, NULL, &faults));
    assert_int_equal(faults_status(&faults), 5);
    assert_listing(folder, "plate.results");
    assert_listing(target, "points.csv report.html report.txt results.json");
}

static void a_full_disk_leaves_nothing(void **state)
{
    (void)state;
    struct rlimit before;
    assert_int_equal(getrlimit(RLIMIT_FSIZE, &before), 0);
    struct rlimit small = {2000, before.rlim_max};
    void (*handler)(int) = signal(SIGXFSZ, SIG_IGN);
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &small), 0);
    bool ok = report_folder(&doc, target, false, NULL, &faults);
    setrlimit(RLIMIT_FSIZE, &before);
    signal(SIGXFSZ, handler);
    assert_false(ok);
    assert_int_equal(faults_status(&faults), 5);
    assert_listing(folder, "");
}

static void the_same_document_gives_the_same_bytes(void **state)
{
    (void)state;
    static const char *const names[] = {"results.json", "report.txt", "points.csv",
                                        "curve.svg",    "curve.gp",   "timeline.csv",
                                        "curve.png",    "report.html"};
    struct text first[8] = {{0}};
    struct text again = {0};
    assert_true(report_folder(&doc, target, true, NULL, &faults));
    for (size_t i = 0; i < 8; i++)
        read_file(names[i], &first[i]);
    assert_true(report_folder(&doc, target, true, NULL, &faults));
    for (size_t i = 0; i < 8; i++) {
        read_file(names[i], &again);
        assert_int_equal(again.length, first[i].length);
        assert_memory_equal(again.bytes, first[i].bytes, again.length);
        assert_null(strstr(text_string(&again), folder)); /* no path inside */
        text_free(&first[i]);
    }
    text_free(&again);
    assert_listing(folder, "plate.results plate.results.old");
}

/* What somebody who has the folder can do: run the script there. */
static void a_script_runs_by_hand(void **state)
{
    (void)state;
    struct text ours = {0};
    struct text by_hand = {0};
    char command[9000];
    assert_true(report_folder(&doc, target, true, NULL, &faults));
    read_file("budget.svg", &ours);
    snprintf(command, sizeof command, "cd '%s' && rm budget.svg && gnuplot -d budget.gp", target);
    assert_int_equal(system(command), 0);
    read_file("budget.svg", &by_hand);
    assert_int_equal(ours.length, by_hand.length);
    assert_memory_equal(ours.bytes, by_hand.bytes, ours.length);
    read_file("budget.png", &ours);
    snprintf(command, sizeof command,
             "cd '%s' && rm budget.png && gnuplot -d -e 'png = 1' budget.gp", target);
    assert_int_equal(system(command), 0);
    read_file("budget.png", &by_hand);
    assert_int_equal(ours.length, by_hand.length);
    assert_memory_equal(ours.bytes, by_hand.bytes, ours.length);
    text_free(&ours);
    text_free(&by_hand);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_whole_folder_holds_every_file, set_up, tear_down),
        cmocka_unit_test_setup_teardown(without_plots_there_are_no_pictures, set_up, tear_down),
        cmocka_unit_test_setup_teardown(a_bad_gnuplot_leaves_the_earlier_result, set_up, tear_down),
        cmocka_unit_test_setup_teardown(a_full_disk_leaves_nothing, set_up, tear_down),
        cmocka_unit_test_setup_teardown(the_same_document_gives_the_same_bytes, set_up, tear_down),
        cmocka_unit_test_setup_teardown(a_script_runs_by_hand, set_up, tear_down),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
