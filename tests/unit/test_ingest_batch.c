/* Batches against the reading of all other rows: a mark in quotes in each line keeps it out of
 * them. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/numbers.h"
#include "base/text.h"
#include "ingest/batch.h"
#include "ingest/batch_avx2.h"
#include "ingest/rows.h"
#include "tests/unit/aid_folder.h"
#include "tests/unit/aid_any_log.h"
#include "tests/unit/aid_ingest.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static struct faults faults;

static void batches_are_read_as_other_rows_are(void **state)
{
    (void)state;
    static struct kept plain, quoted;
    char *folder = aid_folder();
    assert_non_null(folder);
    for (size_t i = 0; i < AID_LOG_FORMS; i++) {
        const struct aid_log_form *form = &aid_log_forms[i];
        struct log_account a, b;
        struct sink sink = aid_sink(&plain);
        aid_read_log(form, "m", folder, 1, &sink, &a, &faults);
        sink = aid_sink(&quoted);
        aid_read_log(form, "\"m\"", folder, 1, &sink, &b, &faults);
        if (plain.n < form->rows / 2)
            fail_msg("%s: only %zu rows were used", form->name, plain.n);
        aid_same_rows(form->name, &plain, &quoted);
        aid_same_accounts(form->name, &a, &b);
        log_account_free(&a);
        log_account_free(&b);
    }
    aid_remove(folder);
    free(folder);
}

/* Opens a log of text and skips to its first row. */
static void open_text(struct rows *rows, const struct row_form *form, const struct text *bytes)
{
    assert_true(rows_open_memory(rows, form, "a.csv", text_string(bytes), bytes->length, &faults));
}

/* Marks are found 64 bytes at a time, and one more than those of a row is asked for. */
static const char blank_lines[] =
    "\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n"
    "\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n";

enum { NUMBERS = 5, WANTED = 400000 };

/* Numbers of all lengths, short ones that are read four at a time, and the same with a field
 * between. */
static const struct number_case {
    const char *name;
    const char *header;
    const char *between; /* before the last number */
    size_t digits_most;
} number_cases[] = {
    {"long", "Time,G tilt,T air,T in,T out,Flow", "", 16},
    {"short", "Time,G tilt,T air,T in,T out,Flow", "", 7},
    {"short, a field between", "Time,G tilt,T air,T in,T out,Spare,Flow", ",x", 7},
};

/* Where a row of a batch goes. */
struct one_row {
    int64_t time_us;
    double value[NUMBERS];
};

static size_t take_one(const struct row_form *form, const struct text *bytes, struct one_row *row)
{
    static struct batch batch;
    struct rows rows;
    struct batch_target target = {.time_us = &row->time_us, .room = 1, .gap_us = INT64_MAX,
                                  .limit_us = INT64_MAX};
    for (size_t k = 0; k < NUMBERS; k++)
        target.value[k] = &row->value[k];
    open_text(&rows, form, bytes);
    batch_init(&batch, &rows);
    size_t taken = batch_take(&batch, &rows, &target);
    rows_close(&rows);
    return taken;
}

/* One row of numbers by chance. Returns: how many a batch takes; their bits are checked. */
static size_t try_numbers(const struct row_form *form, const struct number_case *to,
                          uint64_t *seed)
{
    struct text line = {0}, number[NUMBERS] = {{0}};
    struct one_row row;
    text_addf(&line, "%s\n2026-06-21T10:15:58", to->header);
    for (size_t k = 0; k < NUMBERS; k++) {
        aid_put_number(&number[k], seed, '.', to->digits_most);
        text_addf(&line, "%s,%s", k + 1 == NUMBERS ? to->between : "", text_string(&number[k]));
    }
    text_addf(&line, "\n%s", blank_lines);
    size_t taken = take_one(form, &line, &row);
    for (size_t k = 0; k < NUMBERS; k++) {
        double other;
        assert_true(number_read(text_string(&number[k]), number[k].length, '.', &other));
        if (taken == 1 && memcmp(&row.value[k], &other, sizeof other) != 0 &&
            (row.value[k] != 0 || other != 0))
            fail_msg("%s: '%s' is read as %.17g", to->name, text_string(&number[k]), row.value[k]);
        text_free(&number[k]);
    }
    text_free(&line);
    return taken;
}

/* Every number that a batch takes has the bits that number_read gives it; most are taken. */
static void numbers_of_batches_are_the_same_numbers(void **state)
{
    (void)state;
    struct log_plan plan;
    struct row_form form;
    uint64_t seed = 5;
    faults_init(&faults);
    aid_plan(&plan, "a.csv");
    assert_true(row_form_init(&form, &plan, &faults));
    for (size_t k = 0; k < NUMBERS; k++) {
        form.scale[k].scale = 1.0; /* litres a minute would hide the last bit */
        form.scale[k].offset = 0.0;
        form.scale[k].least_si = -INFINITY;
        form.scale[k].most_si = INFINITY;
    }
    for (size_t i = 0; i < sizeof number_cases / sizeof number_cases[0]; i++) {
        size_t tried = WANTED / NUMBERS, taken = 0;
        for (size_t row = 0; row < tried; row++)
            taken += try_numbers(&form, &number_cases[i], &seed);
        if (batch_avx2_able() && taken < tried / 2)
            fail_msg("%s: only %zu of %zu were taken", number_cases[i].name, taken, tried);
        if (!batch_avx2_able())
            assert_int_equal(taken, 0);
    }
    log_plan_free(&plan);
}

/* A row that no batch may take. */
static void other_rows_are_left(void **state)
{
    (void)state;
    static const struct {
        const char *line;
        size_t taken; /* of it and a plain row behind */
    } cases[] = {{"2026-06-21T10:15:58,812.3,24.31,35.02,42.17,2.412\n", 2},
                 {"2026-06-21T10:15:58,812.3,-4.31,35,42.17,.5\r\n", 2},
                 {"2026-06-21T10:15:58,812.3,24.31,35.02,42.17,\n", 0},
                 {"2026-06-21T10:15:58,812.3,24.31,35.02,42.17,-\n", 0},
                 {"2026-06-21T10:15:58,812.3,24.31,35.02,42.17,.\n", 0},
                 {"2026-06-21T10:15:58,812.3,24.31,35.02,42.17, 2\n", 0},
                 {"2026-06-21T10:15:58,812.3,24.31,3e1,42.17,2.412\n", 0},
                 {"2026-06-21T10:15:58,812.3,24.31,3.0.1,42.17,2.412\n", 0},
                 {"2026-06-21T10:15:58,812.3,24.31,3-1,42.17,2.412\n", 0},
                 {"2026-06-21T10:15:58,812.3,24.31,--31,42.17,2.412\n", 0},
                 {"2026-06-21T10:15:58,812.3,24.31,-.,42.17,2.412\n", 0},
                 {"2026-06-21T10:15:58,812.3,24.31,+31,42.17,2.412\n", 0},
                 {"2026-06-21T10:15:58,812.3,24.31,35.02000000001,42.17,2.412\n", 2},
                 {"2026-06-21T10:15:58,812.3,24.31,35.020000000000000001,42.17,2.412\n", 0},
                 {"2026-06-21T10:15:58,812.3,24.31,135.02,142.17,-2.412\n", 0},
                 {"2026-06-21T10:15:58,812.3,24.31,\"35.02\",42.17,2.412\n", 0},
                 {"2026-06-21T10:15:58,812.3,24.31,35.02,42.17\n", 0},
                 {"2026-06-21T10:15:58,812.3,24.31,35.02,42.17,2.412,7\n", 0},
                 {"2026-06-21T10:15:58,812.3,24.31,35.02,42.17,2.412\r", 0},
                 {"#026-06-21T10:15:58,812.3,24.31,35.02,42.17,2.412\n", 0},
                 {" 2026-06-21T10:15:58,812.3,24.31,35.02,42.17,2.412\n", 0},
                 {"2026-06-21T10:14:59,812.3,24.31,35.02,42.17,2.412\n", 0},
                 {"2026-06-21T11:15:58,812.3,24.31,35.02,42.17,2.412\n", 0},
                 {"\n", 0}};
    static struct batch batch;
    struct log_plan plan;
    struct row_form form;
    faults_init(&faults);
    aid_plan(&plan, "a.csv");
    assert_true(row_form_init(&form, &plan, &faults));
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct text bytes = {0};
        struct rows rows;
        int64_t time_us[2];
        double value[NUMBERS][2];
        /* 2026-06-21T10:15:00 */
        struct batch_target target = {.time_us = time_us, .room = 2,
                                      .last_us = INT64_C(1782036900000000), .gap_us = 60000000,
                                      .limit_us = INT64_MAX};
        for (size_t k = 0; k < NUMBERS; k++)
            target.value[k] = value[k];
        text_addf(&bytes, "Time,G tilt,T air,T in,T out,Flow\n%s", cases[i].line);
        text_addf(&bytes, "2026-06-21T10:15:59,812.3,24.31,35.02,42.17,2.412\n%s", blank_lines);
        open_text(&rows, &form, &bytes);
        batch_init(&batch, &rows);
        size_t taken = batch_take(&batch, &rows, &target);
        if (taken != (batch_avx2_able() ? cases[i].taken : 0))
            fail_msg("'%s': %zu rows were taken", cases[i].line, taken);
        rows_close(&rows);
        text_free(&bytes);
    }
    log_plan_free(&plan);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(batches_are_read_as_other_rows_are),
        cmocka_unit_test(numbers_of_batches_are_the_same_numbers),
        cmocka_unit_test(other_rows_are_left),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
