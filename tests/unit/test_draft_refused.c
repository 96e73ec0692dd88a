/* What no draft is made of, and what of a log a draft does not repeat. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>

#include <cmocka.h>

#include "draft/draft.h"
#include "tests/unit/aid_draft.h"

#include <string.h>

#define LENGTH_OF(array) (sizeof(array) / sizeof((array)[0]))

static struct faults faults;

static const char good_head[] = "time,T_in [degC],T_out [degC],T_amb [degC],flow_L_min,"
                                "G [W/m2]\n";

static void bad_logs_are_refused(void **state)
{
    static const struct {
        const char *name;
        const char *log;
        const char *second;
        const char *found;
    } rows[] = {
        {"empty", "", NULL, "is empty"},
        {"header only", good_head, NULL, "holds a header row but no rows below it"},
        {"comments only", "# nothing\n\n", NULL, "holds no header row"},
        {"binary", "\x01\x02\x03\x04\x05\x06\x07\x08", NULL, "is not a text file"},
        {"one column", "T_in\n23.4\n", NULL, "holds one column only"},
        {"blanks between", "time T_in G\n10 23.4 871\n11 23.5 872\n12 23.5 872\n", NULL,
         "blanks between its fields"},
        {"both decimal signs", "t;T_in;G\n1;23,4;871.5\n2;23.5;872,5\n", NULL,
         "can be read in two ways, and the 3 lines"},
        {"another decimal sign", "time;T_in\n2026-06-21 10:15:30;23.4\n",
         "time;T_in\n2026-06-22 10:15:30;23,4\n", "has decimal commas"},
        {"an open quote", "time,\"T_in\n1,2\n", NULL, "a quote is opened here"},
        {"another head", "time,T_in\n2026-06-21 10:15:30,23.4\n",
         "time,T_out\n2026-06-22 10:15:30,23.4\n", "has no column 'T_in'"},
        {"a second log without names", "time,T_in\n2026-06-21 10:15:30,23.4\n",
         "2026-06-22 10:15:30,23.4\n2026-06-22 10:15:40,23.4\n", "has no row of names"},
        {"units beside the numbers", "time,T_in,T_out\n21st,23.4 degC,31.7 degC\n", NULL,
         "no line holds readings"},
        {"a second log without rows", "time,T_in\n2026-06-21 10:15:30,23.4\n", "time,T_in\n",
         "holds a header row but no rows below it"},
    };
    (void)state;
    for (size_t i = 0; i < LENGTH_OF(rows); i++) {
        struct text understood = {0}, description = {0};
        if (aid_draft(rows[i].log, rows[i].second, &understood, &description, &faults))
            aid_draft_fail(rows[i].name, "accepted", text_string(&understood));
        if (faults.n != 1 || strstr(faults.items[0].found, rows[i].found) == NULL)
            aid_draft_fail(rows[i].name, rows[i].found, faults.items[0].found);
        assert_int_equal(faults_status(&faults), 3);
        assert_int_equal(description.length, 0);
        text_free(&understood);
        text_free(&description);
    }
}

static void a_directory_and_an_absent_log_are_both_named(void **state)
{
    (void)state;
    char absent[AID_DRAFT_PATH];
    struct text understood = {0}, description = {0};
    const char *logs[] = {aid_draft_folder(), aid_draft_path("none.csv", absent)};
    faults_init(&faults);
    assert_false(draft_write(logs, 2, NULL, NULL, &understood, &description, NULL, &faults));
    assert_int_equal(faults.n, 2);
    assert_non_null(strstr(faults.items[0].found, "is a directory"));
    assert_string_equal(faults.items[1].file, absent);
    assert_int_equal(faults_status(&faults), 3);
    text_free(&understood);
    text_free(&description);
}

/* Control characters and broken UTF-8 of a log reach no terminal. */
static void odd_bytes_are_not_repeated(void **state)
{
    (void)state;
    struct text understood = {0}, description = {0};
    assert_true(aid_draft("time,T_in [\xb0"
                      "C],note\n2026-06-21 10:15:30,23.4,\x1b[2J\xff\n",
                      NULL, &understood, &description, &faults));
    aid_draft_want("converted", text_string(&understood), "read as Windows-1252");
    aid_draft_want("converted", text_string(&description),
              "column        = T_in [\xc2\xb0"
              "C]");
    aid_draft_want("control", text_string(&understood), "(the first: '?[2J\xc3\xbf' on line 2)");
    assert_null(strchr(text_string(&understood), '\x1b'));
    assert_true(text_is_utf8(description.bytes, description.length));
    text_free(&understood);
    text_free(&description);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(bad_logs_are_refused),
        cmocka_unit_test(a_directory_and_an_absent_log_are_both_named),
        cmocka_unit_test(odd_bytes_are_not_repeated),
    };
    return cmocka_run_group_tests(tests, aid_draft_begin, aid_draft_end);
}
