/* Running gnuplot: what a bad one does to us, and that nothing is left behind. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "aid_document.h"
#include "plots/gnuplot.h"

#include <stdlib.h>
#include <string.h>

static struct faults faults;

static const char script[] = "set terminal svg\nplot [0:1] [0:1] x with lines\n";

static void bad_gnuplots_give_a_fault_and_leave_nothing(void **state)
{
    (void)state;
    static const struct {
        const char *stub;
        int deadline_s;
        const char *found; /* a piece of the message */
    } rows[] = {
        {"dies", 20, "signal 9"},
        {"fails", 20, "status 1"},
        {"half", 20, "not complete"},
        {"silent", 20, "not complete"},
        {"hangs", 1, "within 1 s"},
        {"floods", 20, "wrote more than 64 MB"},
        {"no such stub", 20, "not installed or not on PATH"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char *folder = aid_folder();
        struct text svg = {0};
        assert_non_null(folder);
        if (!aid_gnuplot(rows[i].stub))
            setenv("PATH", folder, 1); /* an empty folder: no gnuplot there */
        faults_init(&faults);
        bool drawn = gnuplot_run(folder, "curve", script, GNUPLOT_SVG, rows[i].deadline_s, &svg,
                                 &faults);
        char *left = aid_list(folder);
        if (drawn || faults.n != 1 || !strstr(faults.items[0].found, rows[i].found))
            print_message("row '%s': %d, '%s'\n", rows[i].stub, drawn, faults.items[0].found);
        assert_false(drawn);
        assert_int_equal(faults.n, 1);
        assert_int_equal(faults_status(&faults), 5);
        assert_non_null(strstr(faults.items[0].found, rows[i].found));
        assert_int_equal(svg.length, 0);
        assert_string_equal(left, "");
        free(left);
        aid_remove(folder);
        free(folder);
    }
    aid_gnuplot(NULL);
}

static void its_words_reach_the_reader(void **state)
{
    (void)state;
    struct text svg = {0};
    char *folder = aid_folder();
    faults_init(&faults);
    assert_true(aid_gnuplot("fails"));
    assert_false(gnuplot_run(folder, "curve", script, GNUPLOT_SVG, 5, &svg, &faults));
    assert_non_null(strstr(faults.items[0].expected, "undefined variable: nonsense"));
    faults_init(&faults);
    assert_true(aid_gnuplot("chatty"));
    assert_true(gnuplot_run(folder, "curve", script, GNUPLOT_SVG, 5, &svg, &faults));
    assert_int_equal(faults.n, 1);
    assert_int_equal(faults.items[0].kind, FAULT_NOTE);
    assert_non_null(strstr(faults.items[0].found, "Skipping data file"));
    text_free(&svg);
    aid_gnuplot(NULL);
    aid_remove(folder);
    free(folder);
}

static void the_real_one_draws_and_its_errors_are_seen(void **state)
{
    (void)state;
    struct text svg = {0};
    char *folder = aid_folder();
    faults_init(&faults);
    assert_true(gnuplot_probe(&faults));
    assert_true(gnuplot_run(folder, "curve", script, GNUPLOT_SVG, 30, &svg, &faults));
    assert_true(aid_is_well_formed(text_string(&svg), svg.length));
    assert_int_equal(faults.n, 0);
    text_free(&svg);
    /* An error that later commands would hide in the picture. */
    assert_false(gnuplot_run(folder, "curve",
                             "set terminal svg\nnonsense\nplot [0:1] [0:1] x with lines\n",
                             GNUPLOT_SVG, 30, &svg, &faults));
    assert_int_equal(faults_status(&faults), 5);
    assert_int_equal(svg.length, 0);
    aid_remove(folder);
    free(folder);
}

static void a_folder_that_is_not_there_is_a_fault(void **state)
{
    (void)state;
    struct text svg = {0};
    faults_init(&faults);
    assert_false(
        gnuplot_run("tests/faults/nowhere", "curve", script, GNUPLOT_SVG, 5, &svg, &faults));
    assert_int_equal(faults_status(&faults), 5);
}

static const char png_script[] = "set terminal pngcairo size 200,100\nplot [0:1] [0:1] x\n";

/* A PNG is whole or no picture; another kind of picture is none either. */
static void png_is_judged_by_its_own_marks(void **state)
{
    (void)state;
    struct text png = {0};
    bool has_png = false;
    char *folder = aid_folder();
    faults_init(&faults);
    assert_true(gnuplot_ask_png(folder, &has_png, &faults));
    assert_true(has_png);
    assert_true(gnuplot_run(folder, "curve", png_script, GNUPLOT_PNG, 30, &png, &faults));
    assert_int_equal(faults.n, 0);
    assert_true(png.length > 100);
    assert_memory_equal(png.bytes, "\x89PNG", 4);
    text_free(&png);
    assert_false(gnuplot_run(folder, "curve", script, GNUPLOT_PNG, 30, &png, &faults));
    assert_non_null(strstr(faults.items[0].found, "not complete"));
    assert_int_equal(png.length, 0);
    faults_init(&faults);
    assert_true(aid_gnuplot("half-png"));
    assert_false(gnuplot_run(folder, "curve", png_script, GNUPLOT_PNG, 5, &png, &faults));
    assert_non_null(strstr(faults.items[0].found, "not complete"));
    aid_gnuplot(NULL);
    aid_remove(folder);
    free(folder);
}

static void a_gnuplot_without_png_is_said(void **state)
{
    (void)state;
    bool has_png = true;
    char *folder = aid_folder();
    faults_init(&faults);
    assert_true(aid_gnuplot("chatty")); /* draws SVG whatever it is asked */
    assert_true(gnuplot_ask_png(folder, &has_png, &faults));
    assert_false(has_png);
    assert_int_equal(faults.n, 1);
    assert_int_equal(faults.items[0].kind, FAULT_NOTE);
    assert_non_null(strstr(faults.items[0].found, "pngcairo"));
    aid_gnuplot(NULL);
    char *left = aid_list(folder);
    assert_string_equal(left, "");
    free(left);
    aid_remove(folder);
    free(folder);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(bad_gnuplots_give_a_fault_and_leave_nothing),
        cmocka_unit_test(its_words_reach_the_reader),
        cmocka_unit_test(the_real_one_draws_and_its_errors_are_seen),
        cmocka_unit_test(png_is_judged_by_its_own_marks),
        cmocka_unit_test(a_gnuplot_without_png_is_said),
        cmocka_unit_test(a_folder_that_is_not_there_is_a_fault),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
