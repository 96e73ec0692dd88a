/* Quick rows against the reading of all others: a mark in quotes in each line makes it not plain.
 */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/number_quick.h"
#include "base/numbers.h"
#include "base/text.h"
#include "ingest/quick.h"
#include "ingest/rows.h"
#include "tests/unit/aid_ingest.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static struct faults faults;

struct form {
    const char *name;
    const char *header; /* without the mark */
    const char *second; /* column of the time, or NULL */
    const char *format;
    char separator;
    char decimal;
    const char *missing; /* marker, or NULL */
    const char *const *lines;
    size_t n_lines;
};

/* What follows the mark; each is read as it is and with a mark in quotes. */
static const char *const iso_lines[] = {
    "2026-06-21T10:15:58,812.3,24.31,35.02,42.17,2.412\n",
    "2026-06-21T10:15:59,812.4,-4.31,35.02,42.17,2.412\n",
    "2026-06-21T10:16:00,812.5,24.31,35.02,42.17,2.412\r\n",
    "2026-06-21T10:16:60,812.5,24.31,35.02,42.17,2.412\n",
    "2026-06-21T10:16:5,812.5,24.31,35.02,42.17,2.412\n",
    "2026-06-21T10:16:05.25,812.5,24.31,35.02,42.17,2.412\n",
    "2026-06-21T10:16:05.99,812.5,24.31,35.02,42.17,2.412\n",
    "2026-06-21T10:16:07,812.5,24.31,35.02,42.17,2.412\n",
    "2026-06-21T10:16:0x,812.5,24.31,35.02,42.17,2.412\n",
    "2026-06-21T10:16:08Z,812.5,24.31,35.02,42.17,2.412\n",
    "2026-06-21T10:16:09+02:00,812.5,24.31,35.02,42.17,2.412\n",
    "2026-06-21 10:16:10,812.5,24.31,35.02,42.17,2.412\n",
    "2026-06-21T24:00:00,812.5,24.31,35.02,42.17,2.412\n",
    "2026-06-21T24:00:01,812.5,24.31,35.02,42.17,2.412\n",
    "2026-06-31T10:16:11,812.5,24.31,35.02,42.17,2.412\n",
    " 2026-06-21T10:16:12 ,812.5, 24.31,35.02 ,\t42.17,2.412\n",
    "2026-06-21T10:16:13,812.5,,NAN,na,2.412\n",
    "2026-06-21T10:16:14,812.5,24.31x,+35.02,.5,5.\n",
    "2026-06-21T10:16:15,8125,24.31,-,4e1,-0\n",
    "2026-06-21T10:16:16,0.1234567890123456789,24.31,123456789012345678901234,42.17,2.412\n",
    "2026-06-21T10:16:17,9007199254740993,9007199254740993e-14,35.02,42.17,2.412\n",
    "2026-06-21T10:16:18,812.5,24.31,35.02,42.17\n",
    "2026-06-21T10:16:19,812.5,24.31,35.02,42.17,2.412,\n",
    "2026-06-21T10:16:20,812.5,24.31,35.02,42.17,2.412,7\n",
    "2026-06-21T10:16:21,812.5,24.31,35.02,42.17,-999\n",
    "2026-06-21T10:16:22,812.5,24.31,35.02,42.17,2.412\r2026\n",
    ",812.5,24.31,35.02,42.17,2.412\n",
    "\n",
    "2026-06-21T10:16:23,812.5,24.31,35.02,42.17,2.412",
};

static const char *const comma_lines[] = {
    "21/06/2026;10:15:58;812,3;24,31;35,02;42,17;2,412\n",
    "21/06/2026;10:15:59;812,3;24,31;-999;42,17;2,412\n",
    "22/06/2026;10:15:59;812,3;24,31;-999,0;42,17;2,412\n",
    "22/06/2026;10:15:9;812,3;24,31;35,02;42,17;2,412\n",
    "22/06/2026;10:15:60;812,3;24,31;35,02;42,17;2,412\n",
    "22/06/2026;10:15:61;812.3;24,31;35,02;42,17;2,412\n",
    "22/06/2026;;812,3;24,31;35,02;42,17;2,412\n",
    ";10:16:01;812,3;24,31;35,02;42,17;2,412\n",
    "22/06/2026;10:16:02;812,3;24,31;35,02;42,17;2,412\n",
    "22/6/2026;10:16:03;812,3;24,31;35,02;42,17;2,412\n",
};

#define LENGTH_OF(array) (sizeof(array) / sizeof(array)[0])
static const struct form forms[] = {
    {"ISO 8601", "Time,G tilt,T air,T in,T out,Flow", NULL, "ISO 8601", ',', '.', NULL, iso_lines,
     LENGTH_OF(iso_lines)},
    {"decimal comma", "Time;Hour;G tilt;T air;T in;T out;Flow", "Hour", "%d/%m/%Y %H:%M:%S", ';',
     ',', "-999", comma_lines, LENGTH_OF(comma_lines)},
};

static void open_marked(const struct form *form, const struct row_form *row_form, const char *mark,
                        struct text *bytes, struct rows *rows)
{
    text_addf(bytes, "Mark%c%s\n", form->separator, form->header);
    for (size_t i = 0; i < form->n_lines; i++)
        text_addf(bytes, "%s%c%s", mark, form->separator, form->lines[i]);
    assert_true(rows_open_memory(rows, row_form, "a.csv", text_string(bytes), bytes->length,
                                 &faults));
}

static void same_row(const struct form *form, const struct rows *a, const struct rows *b)
{
    if (a->time_us != b->time_us)
        fail_msg("%s: line %ld has another time", form->name, a->line.number);
    for (size_t k = 0; k < a->form->plan->n_columns; k++)
        if (a->flag[k] != b->flag[k] ||
            (a->flag[k] == FLAG_GOOD &&
             memcmp(&a->value_si[k], &b->value_si[k], sizeof(double)) != 0) ||
            (a->flag[k] != FLAG_GOOD && !isnan(a->value_si[k])))
            fail_msg("%s: line %ld differs in column %zu", form->name, a->line.number, k);
}

/* Returns: how many rows were the same good ones. */
static size_t compare(const struct form *form, const struct row_form *row_form)
{
    struct text plain = {0}, quoted = {0};
    struct rows a, b;
    size_t good = 0;
    open_marked(form, row_form, "m", &plain, &a);
    open_marked(form, row_form, "\"m\"", &quoted, &b);
    for (enum row_status status = ROWS_ROW; status != ROWS_END;) {
        status = rows_next(&a, &faults);
        enum row_status other = rows_next(&b, &faults);
        if (status != other || a.line.number != b.line.number)
            fail_msg("%s: line %ld has status %d, line %ld in quotes %d", form->name,
                     a.line.number, (int)status, b.line.number, (int)other);
        if (status == ROWS_ROW) {
            same_row(form, &a, &b);
            good++;
        }
        if (status == ROWS_BAD_STAMP)
            assert_int_equal(a.stamp_status, b.stamp_status);
    }
    rows_close(&a);
    rows_close(&b);
    text_free(&plain);
    text_free(&quoted);
    return good;
}

static void plain_lines_are_read_as_others_are(void **state)
{
    (void)state;
    static const size_t rows_good[] = {20, 6}; /* counted by hand */
    for (size_t i = 0; i < LENGTH_OF(forms); i++) {
        const struct form *form = &forms[i];
        struct log_plan plan;
        struct row_form row_form;
        faults_init(&faults);
        aid_plan(&plan, "a.csv");
        plan.separator = form->separator;
        plan.decimal = form->decimal;
        assert_true(log_plan_set_time(&plan, "Time", form->second, form->format, &faults));
        if (form->missing != NULL)
            assert_true(log_plan_add_missing(&plan, form->missing, &faults));
        assert_true(row_form_init(&row_form, &plan, &faults));
        assert_int_equal(compare(form, &row_form), rows_good[i]);
        log_plan_free(&plan);
    }
}

static void only_plain_lines_are_taken_quickly(void **state)
{
    (void)state;
    static const struct {
        const char *line;
        bool plain;
    } rows_of[] = {{"2026-06-21T10:15:58,812.3,24.31,35.02,42.17,2.412\n", true},
                   {"2026-06-21T10:15:58,812.3,24.31,35.02,,x\r\n", true},
                   {"2026-06-21T10:15:58,\"812.3\",24.31,35.02,42.17,2.412\n", false},
                   {"2026-06-21T10:15:58,812.3,24.31,35.02,42.17\n", false},
                   {"2026-06-21T10:15:58,812.3,24.31,35.02,42.17,2.412,1\n", false},
                   {"2026-06-21T10:15:58,812.3,24.31,35.02,42.17,2.412", false},
                   {"# 2026-06-21T10:15:58,812.3,24.31,35.02,42.17,2.412\n", false},
                   {" 2026-06-21T10:15:58,812.3,24.31,35.02,42.17,2.412\n", false},
                   {"noon,812.3,24.31,35.02,42.17,2.412\n", false}};
    struct log_plan plan;
    struct row_form row_form;
    faults_init(&faults);
    aid_plan(&plan, "a.csv");
    assert_true(row_form_init(&row_form, &plan, &faults));
    for (size_t i = 0; i < LENGTH_OF(rows_of); i++) {
        struct rows rows;
        struct text bytes = {0};
        text_addf(&bytes, "Time,G tilt,T air,T in,T out,Flow\n%s", rows_of[i].line);
        assert_true(rows_open_memory(&rows, &row_form, "a.csv", text_string(&bytes), bytes.length,
                                     &faults));
        if (quick_row(&rows) != rows_of[i].plain)
            fail_msg("'%s' was %staken", rows_of[i].line, rows_of[i].plain ? "not " : "");
        rows_close(&rows);
        text_free(&bytes);
    }
    log_plan_free(&plan);
}

/* The quick reading of a number gives the bits of the slow one, or nothing. */
static void quick_numbers_are_the_same_numbers(void **state)
{
    (void)state;
    static const char *const plain[] = {"0",      "-0",      "007.50",  "2.385",  "-12.0625", ".5",
                                        "5.",     "0.1",     "1234567", "-.25",   "1013.25",
                                        "9007199254740992",  "0.00000000000000001"};
    static const char *const not_plain[] = {"", "-", ".", "-.", "+1", "x", "9007199254740993",
                                            "1234567890123456789", "0.1234567890123456789"};
    double quick, slow;
    for (size_t i = 0; i < LENGTH_OF(plain); i++) {
        const char *end = number_quick(plain[i], '.', &quick);
        if (end == NULL || *end != '\0' || !number_read(plain[i], strlen(plain[i]), '.', &slow) ||
            memcmp(&quick, &slow, sizeof quick) != 0)
            fail_msg("'%s' is read otherwise", plain[i]);
    }
    for (size_t i = 0; i < LENGTH_OF(not_plain); i++)
        if (number_quick(not_plain[i], '.', &quick) != NULL)
            fail_msg("'%s' was taken", not_plain[i]);
    const char *end = number_quick("3,25;", ',', &quick);
    assert_true(end != NULL && *end == ';' && fabs(quick - 3.25) < 1e-15);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(plain_lines_are_read_as_others_are),
        cmocka_unit_test(only_plain_lines_are_taken_quickly),
        cmocka_unit_test(quick_numbers_are_the_same_numbers),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
