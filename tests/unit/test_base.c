/* Text, faults, hash, random numbers and result folders. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/faults.h"
#include "base/files.h"
#include "base/hash.h"
#include "base/randoms.h"
#include "base/text.h"

#include <math.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

static struct faults faults;

static void status_is_that_of_the_gravest_fault(void **state)
{
    (void)state;
    static const struct {
        enum fault_kind kind;
        int status;
    } rows[] = {{FAULT_NOTE, 0}, {FAULT_WARNING, 0}, {FAULT_DATA, 4},
                {FAULT_INPUT, 3}, {FAULT_USAGE, 2},  {FAULT_MACHINE, 5}};
    faults_init(&faults);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        fault_new(&faults, rows[i].kind, fault_at(NULL, 0, 0));
        assert_int_equal(faults_status(&faults), rows[i].status);
    }
    fault_new(&faults, FAULT_NOTE, fault_at(NULL, 0, 0));
    assert_int_equal(faults_status(&faults), 5);
}

static void faults_past_the_cap_are_counted(void **state)
{
    (void)state;
    faults_init(&faults);
    for (int i = 0; i < FAULTS_MAX + 7; i++)
        fault_found(fault_new(&faults, FAULT_INPUT, fault_at("a.csv", i, 0)), "row %d", i);
    assert_int_equal(faults.n, FAULTS_MAX);
    assert_int_equal(faults.dropped, 7);
    assert_string_equal(faults.items[FAULTS_MAX - 1].found, "row 99");
}

static void a_fault_prints_place_found_expected_and_hint(void **state)
{
    (void)state;
    faults_init(&faults);
    struct fault *e = fault_new(&faults, FAULT_INPUT, fault_at("day\n1.csv", 1042, 5));
    fault_field(e, "field 3 'T in'");
    fault_found(e, "'23,4' is not a number");
    fault_expected(e, "a number like 23.4");
    fault_hint(e, "write 'decimal = comma'");
    char *bytes = NULL;
    size_t n = 0;
    FILE *out = open_memstream(&bytes, &n);
    assert_non_null(out);
    faults_print(&faults, "etabench", out);
    fclose(out);
    assert_string_equal(bytes, "day?1.csv:1042:5: field 3 'T in': '23,4' is not a number\n"
                               "  expected: a number like 23.4\n"
                               "  write 'decimal = comma'\n");
    free(bytes);
}

static void lines_to_add_stand_behind_all_faults(void **state)
{
    static struct faults from;
    static char long_lines[FAULT_LINES_SIZE + 1];
    char *bytes = NULL;
    size_t n = 0;
    (void)state;
    memset(long_lines, 'x', FAULT_LINES_SIZE);
    faults_init(&faults);
    faults_init(&from);
    fault_found(fault_new(&from, FAULT_INPUT, fault_at("test.txt", 7, 0)), "a line is missing");
    assert_false(faults_lines(&from, long_lines));
    assert_true(faults_lines(&from, "[log second]\nfile = day\x1B" "2.csv\n"));
    assert_false(faults_lines(&from, "[log third]\n"));
    faults_join(&faults, &from);
    fault_found(fault_new(&faults, FAULT_NOTE, fault_at("test.txt", 9, 0)), "a thing to know");
    FILE *out = open_memstream(&bytes, &n);
    assert_non_null(out);
    faults_print(&faults, "etabench", out);
    fclose(out);
    assert_string_equal(bytes, "test.txt:7: a line is missing\n"
                               "test.txt:9: note: a thing to know\n"
                               "    [log second]\n"
                               "    file = day?2.csv\n");
    free(bytes);
}

static void hints_name_the_log_that_is_meant(void **state)
{
    (void)state;
    char name[FAULT_FIELD_SIZE];
    memset(name, 'x', sizeof name - 1);
    name[sizeof name - 1] = '\0';
    faults_init(&faults);
    struct fault *e = fault_new(&faults, FAULT_INPUT, fault_at("roof.csv", 3, 0));
    fault_found(e, "'[log]' is no number");
    fault_expected(e, "'decimal' of [log]");
    fault_hint(e, "in [log]; [log");
    faults_name_log(&faults, "[log roof]");
    assert_string_equal(e->found, "'[log]' is no number");
    assert_string_equal(e->expected, "'decimal' of [log roof]");
    assert_string_equal(e->hint, "in [log roof]; [log");
    faults_name_log(&faults, "[log]");
    assert_string_equal(e->hint, "in [log roof]; [log");
    fault_hint(e, "%s", "[log]");
    faults_name_log(&faults, name);
    assert_string_equal(e->hint, name);
}

static void long_texts_are_cut_at_a_character(void **state)
{
    (void)state;
    char text[3 * FAULT_TEXT_SIZE + 1];
    for (size_t i = 0; i < sizeof text - 1; i += 3)
        memcpy(text + i, "\xE2\x82\xAC", 3);
    text[sizeof text - 1] = '\0';
    faults_init(&faults);
    struct fault *e = fault_new(&faults, FAULT_INPUT, fault_at(NULL, 0, 0));
    fault_found(e, "%s", text);
    assert_true(text_is_utf8(e->found, strlen(e->found)));
    assert_true(strlen(e->found) < FAULT_TEXT_SIZE);
    assert_string_equal(e->found + strlen(e->found) - 3, "...");
}

static void nearest_names(void **state)
{
    (void)state;
    static const char *const names[] = {"gross area", "aperture area", "name", "tilt"};
    static const struct {
        const char *word, *nearest;
    } rows[] = {{"gros area", "gross area"}, {"Aperture Aera", "aperture area"}, {"nmae", NULL},
                {"nam", "name"},             {"title", "tilt"},                  {"colour", NULL},
                {"tlt", "tilt"}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const char *found = text_nearest(rows[i].word, names, 4);
        if (rows[i].nearest == NULL)
            assert_null(found);
        else
            assert_string_equal(found, rows[i].nearest);
    }
}

static void utf8_well_formed_or_not(void **state)
{
    (void)state;
    static const struct {
        const char *bytes;
        bool good;
    } rows[] = {{"plain", true},      {"\xC2\xB0", true},     {"\xB0", false},
                {"\xC0\xAF", false},  {"\xED\xA0\x80", false}, {"\xF0\x9F\x98\x80", true},
                {"\xE2\x82", false},  {"\xF4\x90\x80\x80", false}, {"", true}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        assert_int_equal(text_is_utf8(rows[i].bytes, strlen(rows[i].bytes)), rows[i].good);
    assert_int_equal(text_characters("T\xC2\xB0\xE2\x82\xAC", 6), 3);
}

static void paths(void **state)
{
    (void)state;
    static const struct {
        const char *beside, *name, *path;
    } rows[] = {{"a/b/test.txt", "day1.csv", "a/b/day1.csv"},
                {"test.txt", "day1.csv", "day1.csv"},
                {"a/test.txt", "/d/day1.csv", "/d/day1.csv"}};
    faults_init(&faults);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char *path = path_beside(rows[i].beside, rows[i].name, &faults);
        assert_string_equal(path, rows[i].path);
        free(path);
    }
    char *tail = path_with_tail("a.b/plate a.txt", ".results", &faults);
    assert_string_equal(tail, "a.b/plate a.results");
    free(tail);
    tail = path_with_tail("a.b/plate", ".results", &faults);
    assert_string_equal(tail, "a.b/plate.results");
    free(tail);
}

/* FIPS 180-2, appendix B.1: SHA-256 of "abc". */
static void sha256_of_the_standards_example(void **state)
{
    (void)state;
    struct hash hash;
    char hex[HASH_HEX_SIZE];
    hash_start(&hash);
    hash_feed(&hash, "a", 1);
    hash_feed(&hash, "bc", 2);
    hash_end(&hash, hex);
    assert_string_equal(hex, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
}

static void random_blocks_repeat_and_differ(void **state)
{
    (void)state;
    struct randoms randoms;
    faults_init(&faults);
    assert_true(randoms_init(&randoms, &faults));
    randoms_seed(&randoms, 7, 3);
    double first = randoms_normal(&randoms);
    randoms_seed(&randoms, 7, 4);
    double other = randoms_normal(&randoms);
    randoms_seed(&randoms, 7, 3);
    assert_true(first == randoms_normal(&randoms));
    assert_true(first != other);
    double sum = 0, squares = 0;
    enum { N = 20000 };
    for (int i = 0; i < N; i++) {
        double z = randoms_normal(&randoms);
        sum += z;
        squares += z * z;
    }
    /* Five standard errors: sqrt(1/N) and sqrt(2/N). */
    assert_true(fabs(sum / N) < 5 / sqrt(N));
    assert_true(fabs(squares / N - 1) < 5 * sqrt(2.0 / N));
    randoms_free(&randoms);
}

static char home[64];

static int enter_folder(void **state)
{
    (void)state;
    const char *tmp = getenv("TMPDIR");
    snprintf(home, sizeof home, "%s/etabench-XXXXXX", tmp == NULL ? "/var/tmp" : tmp);
    return mkdtemp(home) == NULL;
}

static int leave_folder(void **state)
{
    (void)state;
    char command[160];
    snprintf(command, sizeof command, "rm -r '%s'", home);
    return system(command);
}

static const char *inside(const char *name)
{
    static char path[128];
    snprintf(path, sizeof path, "%s/%s", home, name);
    return path;
}

static const char marker[] = "{\n  \"schema\": \"etabench results\"\n}\n";

static bool make_result(const char *text)
{
    struct folder folder;
    char target[128];
    snprintf(target, sizeof target, "%s", inside("a.results"));
    return folder_open(&folder, target, &faults) &&
           folder_write(&folder, "report.txt", text, strlen(text), &faults) &&
           folder_write(&folder, FOLDER_MARKER, marker, strlen(marker), &faults) &&
           folder_commit(&folder, &faults);
}

static void assert_report(const char *name, const char *expected)
{
    struct text text = {0};
    assert_true(file_read(inside(name), 1000, &text, &faults));
    assert_string_equal(text_string(&text), expected);
    text_free(&text);
}

static void an_earlier_result_is_kept_as_old(void **state)
{
    (void)state;
    faults_init(&faults);
    assert_true(make_result("one"));
    assert_true(make_result("two"));
    assert_report("a.results/report.txt", "two");
    assert_report("a.results.old/report.txt", "one");
    assert_true(make_result("three"));
    assert_report("a.results.old/report.txt", "two");
    assert_int_equal(faults.n, 0);
}

static void what_is_not_ours_is_never_touched(void **state)
{
    (void)state;
    faults_init(&faults);
    struct folder folder;
    assert_int_equal(mkdir(inside("b.results"), 0777), 0);
    assert_true(file_write_new(inside("b.results/precious"), "x", 1, &faults));
    char target[128];
    snprintf(target, sizeof target, "%s", inside("b.results"));
    assert_false(folder_open(&folder, target, &faults));
    assert_int_equal(faults_status(&faults), 2);
    assert_true(file_exists(inside("b.results/precious")));
}

static void an_abandoned_folder_leaves_nothing(void **state)
{
    (void)state;
    faults_init(&faults);
    struct folder folder;
    char target[128];
    snprintf(target, sizeof target, "%s", inside("c.results"));
    assert_true(folder_open(&folder, target, &faults));
    assert_true(folder_write(&folder, "x", "y", 1, &faults));
    char partial[160];
    snprintf(partial, sizeof partial, "%s", folder.partial);
    assert_true(file_exists(partial));
    folder_abandon(&folder);
    assert_false(file_exists(partial));
    assert_false(file_exists(target));
    folder_abandon(&folder);
}

static void files_are_not_overwritten_and_folders_not_read(void **state)
{
    (void)state;
    faults_init(&faults);
    struct text text = {0};
    assert_true(file_write_new(inside("d"), "12345", 5, &faults));
    assert_false(file_write_new(inside("d"), "6", 1, &faults));
    assert_int_equal(faults_status(&faults), 2);
    faults_init(&faults);
    assert_false(file_read(home, 10, &text, &faults));
    assert_false(file_read(inside("absent"), 10, &text, &faults));
    text_clear(&text);
    assert_false(file_read(inside("d"), 4, &text, &faults));
    assert_int_equal(faults_status(&faults), 3);
    assert_int_equal(faults_errors(&faults), 3);
    text_free(&text);
}

/* Gathers what it is given, up to a number of calls. */
struct gatherer {
    struct text all;
    size_t calls;
    size_t calls_most;
    size_t largest;
};

static bool gather(void *state, const char *bytes, size_t n)
{
    struct gatherer *gatherer = state;
    if (gatherer->calls++ == gatherer->calls_most)
        return false;
    text_add_bytes(&gatherer->all, bytes, n);
    gatherer->largest = n > gatherer->largest ? n : gatherer->largest;
    return true;
}

/* Lines of uneven lengths, 253 kB in all. */
static void add_lines(struct text *text)
{
    for (int i = 0; i < 7001; i++)
        text_addf(text, "%d %*s\n", i, i % 61, "x");
}

static void a_drained_text_is_the_same_in_pieces(void **state)
{
    (void)state;
    struct text whole = {0};
    struct text drained = {0};
    struct gatherer gatherer = {.calls_most = SIZE_MAX};
    text_drain(&drained, gather, &gatherer);
    add_lines(&whole);
    add_lines(&drained);
    text_flush(&drained);
    text_flush(&drained);
    assert_true(text_ok(&drained, &faults));
    assert_string_equal(text_string(&gatherer.all), text_string(&whole));
    assert_true(gatherer.calls > 5 && gatherer.largest < 40000);
    assert_true(drained.capacity <= 65536);
    text_free(&gatherer.all);
    text_free(&drained);
    text_free(&whole);
}

static void a_taker_that_refuses_is_not_asked_again(void **state)
{
    (void)state;
    faults_init(&faults);
    struct text drained = {0};
    struct gatherer gatherer = {.calls_most = 2};
    text_drain(&drained, gather, &gatherer);
    add_lines(&drained);
    text_flush(&drained);
    assert_int_equal(gatherer.calls, 3);
    assert_false(text_ok(&drained, &faults));
    assert_int_equal(faults.n, 0); /* why, the taker knows */
    text_free(&gatherer.all);
    text_free(&drained);
}

/* Writes the lines into a file of a folder while no file may be longer than `limit` bytes. */
static bool write_limited(struct folder *folder, rlim_t limit)
{
    struct folder_file file;
    struct rlimit before;
    assert_true(folder_file_open(&file, folder, "lines", &faults));
    assert_int_equal(getrlimit(RLIMIT_FSIZE, &before), 0);
    struct rlimit now = {.rlim_cur = limit, .rlim_max = before.rlim_max};
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &now), 0);
    add_lines(&file.text);
    bool good = folder_file_close(&file, &faults);
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &before), 0);
    return good;
}

static void a_file_that_cannot_be_written_whole_is_a_fault(void **state)
{
    (void)state;
    struct folder folder;
    struct text whole = {0};
    struct text found = {0};
    char target[128];
    signal(SIGXFSZ, SIG_IGN);
    faults_init(&faults);
    snprintf(target, sizeof target, "%s", inside("limited"));
    assert_true(folder_open(&folder, target, &faults));
    assert_false(write_limited(&folder, 100000));
    assert_int_equal(faults.n, 1);
    assert_int_equal(faults_status(&faults), 5);
    assert_string_equal(path_base(faults.items[0].file), "lines");
    faults_init(&faults);
    assert_true(write_limited(&folder, RLIM_INFINITY)); /* the part that failed is gone */
    char *path = folder_path(&folder, "lines", &faults);
    add_lines(&whole);
    assert_true(file_read(path, 1000000, &found, &faults));
    assert_string_equal(text_string(&found), text_string(&whole));
    free(path);
    folder_abandon(&folder);
    text_free(&found);
    text_free(&whole);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_drained_text_is_the_same_in_pieces),
        cmocka_unit_test(a_taker_that_refuses_is_not_asked_again),
        cmocka_unit_test(a_file_that_cannot_be_written_whole_is_a_fault),
        cmocka_unit_test(status_is_that_of_the_gravest_fault),
        cmocka_unit_test(faults_past_the_cap_are_counted),
        cmocka_unit_test(a_fault_prints_place_found_expected_and_hint),
        cmocka_unit_test(lines_to_add_stand_behind_all_faults),
        cmocka_unit_test(hints_name_the_log_that_is_meant),
        cmocka_unit_test(long_texts_are_cut_at_a_character),
        cmocka_unit_test(nearest_names),
        cmocka_unit_test(utf8_well_formed_or_not),
        cmocka_unit_test(paths),
        cmocka_unit_test(sha256_of_the_standards_example),
        cmocka_unit_test(random_blocks_repeat_and_differ),
        cmocka_unit_test(an_earlier_result_is_kept_as_old),
        cmocka_unit_test(what_is_not_ours_is_never_touched),
        cmocka_unit_test(an_abandoned_folder_leaves_nothing),
        cmocka_unit_test(files_are_not_overwritten_and_folders_not_read),
    };
    return cmocka_run_group_tests(tests, enter_folder, leave_folder);
}
