/* selftest: it passes here, and it fails where a published number, or the program, is off. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "aid_folder.h"
#include "aid_near.h"
#include "cmd/selftest.h"
#include "selftest/fields.h"
#include "selftest/selftest.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static struct faults faults;
static struct checks checks;

static int setup(void **state)
{
    (void)state;
    faults_init(&faults);
    checks_init(&checks);
    return 0;
}

static void everything_passes_and_is_compared(void **state)
{
    (void)state;
    char *folder = aid_folder();
    assert_non_null(folder);
    assert_true(selftest_run(&checks, folder, &faults));
    for (size_t i = 0; i < checks.n; i++)
        if (!check_passed(&checks, &checks.items[i]))
            fail_msg("%s: %g, asked %g; %zu of %zu compared", checks.items[i].name,
                     checks.items[i].agrees, checks.items[i].asked, checks.items[i].seen,
                     checks.items[i].wanted);
    assert_int_equal(checks.n, 36);
    assert_int_equal(checks.n_groups, 6);
    assert_int_equal(checks_failed(&checks), 0);
    assert_int_equal(faults.n, 0);
    assert_int_equal(aid_count_files(folder), 0); /* its own folder is gone */
    aid_remove(folder);
    free(folder);
}

static void digits_are_those_of_the_worst(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        double expected, got, scale, digits;
    } rows[] = {{"equal", 2.385, 2.385, 2.385, 15},
                {"1e-7 off", 2.385, 2.385 * (1 + 1e-7), 2.385, 7},
                {"negative", -41.3, -41.3 * (1 - 1e-4), -41.3, 4},
                {"a published 0", 0, 3.1e-9, 0, 8.508638},
                {"on another scale", 0.002, 0.003, 10, 4},
                {"twice", 1, 2, 1, 0},
                {"NaN", 1.7, NAN, 1.7, -99},
                {"nothing expected", NAN, 1.7, NAN, -99},
                {"infinite", 1.7, INFINITY, 1.7, -99}};
    checks_group(&checks, "g", "s", false);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        checks_begin(&checks, rows[i].name, 6.9, 1);
        checks_see(&checks, "", rows[i].expected, rows[i].got, rows[i].scale);
        const struct check *check = &checks.items[checks.n - 1];
        aid_near(rows[i].name, check->agrees, rows[i].digits, 1e-6);
        assert_int_equal(check_passed(&checks, check), rows[i].digits >= 6.9);
    }
    checks_begin(&checks, "worst of three", 4, 3);
    checks_see(&checks, "a", 1, 1 + 1e-6, 1);
    checks_see(&checks, "b", 1, 1 + 1e-3, 1);
    assert_false(check_passed(&checks, &checks.items[checks.n - 1]));
    checks_see(&checks, "c", 1, 1 + 1e-9, 1);
    assert_string_equal(checks.items[checks.n - 1].worst, "b");
    aid_near("worst", checks.items[checks.n - 1].agrees, 3, 1e-9);
}

static void too_few_comparisons_are_a_failure(void **state)
{
    (void)state;
    checks_group(&checks, "g", "s", false);
    checks_begin(&checks, "two of three", 4, 3);
    checks_see(&checks, "a", 1.3, 1.3, 1.3);
    checks_see(&checks, "b", 1.7, 1.7, 1.7);
    assert_int_equal(checks_failed(&checks), 1);
    checks_see(&checks, "c", 1.9, 1.9, 1.9);
    assert_int_equal(checks_failed(&checks), 0);
    checks_begin(&checks, "none", 4, 1);
    assert_int_equal(checks_failed(&checks), 1);
}

static void an_interval_holds_or_not(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        double truth, got, half;
        bool holds;
    } rows[] = {{"inside", 0.763, 0.7586, 0.0181, true},
                {"outside", 0.763, 0.7439, 0.0181, false},
                {"no width", 0.763, 0.763, 0, false},
                {"no interval", 0.763, 0.763, NAN, false},
                {"no number", 0.763, NAN, 0.0181, false},
                {"no truth", NAN, 0.763, 0.0181, false}};
    checks_group(&checks, "g", "s", true);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        checks_begin(&checks, rows[i].name, 1, 1);
        checks_see_interval(&checks, "", rows[i].truth, rows[i].got, rows[i].half);
        if (check_passed(&checks, &checks.items[checks.n - 1]) != rows[i].holds)
            fail_msg("%s", rows[i].name);
    }
}

/* The compiled-in files, one of them changed: `was` becomes `is`, of equal length. */
struct spoiled {
    struct published_file files[32];
    unsigned char *bytes;
    struct published published;
};

static void spoil(struct spoiled *s, const char *name, const char *was, const char *is)
{
    size_t n;
    const struct published_file *all = published_files(&n);
    assert_true(n <= 32 && strlen(was) == strlen(is));
    memcpy(s->files, all, n * sizeof *all);
    s->published = (struct published){s->files, n};
    s->bytes = NULL;
    for (size_t i = 0; i < n; i++) {
        if (strcmp(all[i].name, name) != 0)
            continue;
        s->bytes = malloc(all[i].n);
        assert_non_null(s->bytes);
        memcpy(s->bytes, all[i].bytes, all[i].n);
        unsigned char *at = memmem(s->bytes, all[i].n, was, strlen(was));
        if (at == NULL)
            fail_msg("%s does not hold '%s'", name, was);
        memcpy(at, is, strlen(is));
        s->files[i].bytes = s->bytes;
    }
    assert_non_null(s->bytes);
}

static void a_changed_digit_is_found(void **state)
{
    (void)state;
    static const struct {
        const char *file, *was, *is, *check;
        bool (*run)(struct checks *, const struct published *, struct faults *);
    } rows[] = {
        {"nist-linear-certified", "1.00211681802045", "1.00211682802045", "Norris",
         checks_regression},
        {"nist-linear-certified", "26.6173985294224", "26.6173995294224", "Norris",
         checks_regression},
        {"nist-longley", "107608", "107609", "Longley", checks_regression},
        {"cars", "\n4,2\n", "\n4,3\n", "cars_quad", checks_regression},
        {"regression-bands", "42.980000000000", "42.980000100000", NULL, checks_regression},
        {"regression-bands", "39.332033991496", "39.332034991496", "cars_line", checks_regression},
        {"pearson-york", "1000,5.9,1", "1000,5.8,1", "intercept", checks_regression},
        {"gum-h3", "-0.164", "-0.163", "y2", checks_regression},
        {"water-properties", "998.2061", "998.2071", "density, IAPWS-IF97", checks_water},
        {"water-properties", "4.17955", "4.17965", "c_p, IAPWS-IF97", checks_water},
    };
    for (size_t k = 0; k < sizeof rows / sizeof rows[0]; k++) {
        struct spoiled s;
        bool named = false;
        setup(NULL);
        spoil(&s, rows[k].file, rows[k].was, rows[k].is);
        assert_true(rows[k].run(&checks, &s.published, &faults));
        for (size_t i = 0; i < checks.n && rows[k].check != NULL; i++)
            named = named || (!check_passed(&checks, &checks.items[i]) &&
                              strcmp(checks.items[i].name, rows[k].check) == 0);
        if (rows[k].check == NULL) /* the middle of an interval is not compared */
            assert_int_equal(checks_failed(&checks), 0);
        else if (!named)
            fail_msg("%s: '%s' for '%s' is not found", rows[k].file, rows[k].is, rows[k].was);
        free(s.bytes);
    }
}

static void damaged_data_are_a_fault(void **state)
{
    (void)state;
    struct spoiled s;
    spoil(&s, "gum-h3", "1,21.521", "1;21.521");
    assert_false(checks_regression(&checks, &s.published, &faults));
    assert_int_equal(faults_status(&faults), 5);
    assert_non_null(strstr(faults.items[0].found, "hold a row of another length"));
    free(s.bytes);
    setup(NULL);
    const struct published none = {NULL, 0};
    assert_false(checks_water(&checks, &none, &faults));
    assert_non_null(strstr(faults.items[0].found, "'water-properties'"));
    assert_non_null(strstr(faults.items[0].found, "are missing"));
}

/* A head that is gone gives no number, and no number passes. */
static void what_is_not_found_is_not_passed(void **state)
{
    (void)state;
    struct spoiled s;
    spoil(&s, "gum-h3", "t_degC,b_degC", "t_degC,c_degC");
    assert_true(checks_regression(&checks, &s.published, &faults));
    assert_int_equal(checks_failed(&checks), 8);
    free(s.bytes);
}

/* The table says it, and so does the exit status. */
static void a_failure_is_told(void **state)
{
    (void)state;
    struct text out;
    text_init(&out);
    checks_group(&checks, "Group one", "a source", false);
    checks_begin(&checks, "good", 9, 1);
    checks_see(&checks, "", 2.385, 2.385, 2.385);
    checks_begin(&checks, "bad", 9, 2);
    checks_see(&checks, "x", 1.75, 1.7500017, 1.75);
    checks_see(&checks, "y", 1.75, 1.75, 1.75);
    checks_group(&checks, "Group two", "another source", true);
    checks_begin(&checks, "eta0", 1, 1);
    checks_see_interval(&checks, "", 0.763, 0.7439, 0.0181);
    assert_false(selftest_tell(&checks, INT64_C(951825600000000), &out, &faults));
    const char *text = text_string(&out);
    static const char *const lines[] = {
        "selftest of 2000-02-29\n",
        "\ngood    2.3850000  2.3850000  15.0    9      yes\n",
        "\nbad: x  1.7500000  1.7500017  6.0     9      NO\n",
        "\nη₀     0.76300000  0.74390000  1.06  1      NO\n",
        "\n1 of 3 checks passed.\n",
    };
    for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++)
        if (strstr(text, lines[i]) == NULL)
            fail_msg("'%s' is not in:\n%s", lines[i], text);
    assert_int_equal(faults.n, 2);
    assert_int_equal(faults_status(&faults), 5);
    assert_string_equal(faults.items[0].found, "the check 'bad' of 'Group one' failed");
    assert_string_equal(faults.items[1].found, "the check 'eta0' of 'Group two' failed");
    text_free(&out);
}

static void without_a_temporary_folder_it_is_said(void **state)
{
    (void)state;
    assert_false(checks_demo(&checks, "/nowhere/at/all", &faults));
    assert_int_equal(faults_status(&faults), 5);
    assert_non_null(strstr(faults.items[0].found, "temporary folder"));
}

/* What is compiled in is what lies in testdata/published. */
static void the_data_are_those_of_the_files(void **state)
{
    (void)state;
    size_t n;
    const struct published_file *all = published_files(&n);
    assert_int_equal(n, 17); /* 12 of NIST and 5 others */
    for (size_t i = 0; i < n; i++) {
        char path[120];
        static unsigned char bytes[1 << 17];
        snprintf(path, sizeof path, "testdata/published/%s.csv", all[i].name);
        FILE *file = fopen(path, "rb");
        assert_non_null(file);
        size_t read = fread(bytes, 1, sizeof bytes, file);
        fclose(file);
        assert_int_equal(read, all[i].n);
        assert_memory_equal(bytes, all[i].bytes, read);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup(everything_passes_and_is_compared, setup),
        cmocka_unit_test_setup(digits_are_those_of_the_worst, setup),
        cmocka_unit_test_setup(too_few_comparisons_are_a_failure, setup),
        cmocka_unit_test_setup(an_interval_holds_or_not, setup),
        cmocka_unit_test_setup(a_changed_digit_is_found, setup),
        cmocka_unit_test_setup(damaged_data_are_a_fault, setup),
        cmocka_unit_test_setup(what_is_not_found_is_not_passed, setup),
        cmocka_unit_test_setup(a_failure_is_told, setup),
        cmocka_unit_test_setup(without_a_temporary_folder_it_is_said, setup),
        cmocka_unit_test(the_data_are_those_of_the_files),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
