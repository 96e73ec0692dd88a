/* Batches against the reading of all other rows: a mark in quotes in each line keeps it out of them. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/numbers.h"
#include "base/text.h"
#include "ingest/batch.h"
#include "ingest/batch_avx2.h"
#include "tests/unit/aid_folder.h"
#include "tests/unit/aid_ingest.h"

#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static struct faults faults;

/* splitmix64 */
static uint64_t draw(uint64_t *state)
{
    uint64_t z = *state += UINT64_C(0x9E3779B97F4A7C15);
    z = (z ^ (z >> 30)) * UINT64_C(0xBF58476D1CE4E5B9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94D049BB133111EB);
    return z ^ (z >> 31);
}

static size_t below(uint64_t *state, size_t n)
{
    return (size_t)(draw(state) % n);
}

/* A number of up to `most` digits, with a sign and a decimal sign where they fall. */
static void put_number(struct text *out, uint64_t *state, char decimal, size_t most)
{
    size_t digits = 1 + below(state, most);
    size_t point = below(state, digits + 3);
    if (below(state, 4) == 0)
        text_addf(out, "-");
    for (size_t i = 0; i < digits; i++) {
        if (i == point)
            text_addf(out, "%c", decimal);
        text_addf(out, "%zu", below(state, 3) == 0 ? (size_t)0 : below(state, 10));
    }
    if (point == digits)
        text_addf(out, "%c", decimal);
}

/* A log as loggers write it, with faults: rarely or often. */
struct log_form {
    const char *name;
    const char *header;
    const char *format;
    const char *second; /* second column of the time, or NULL */
    const char *missing;
    char separator;
    char decimal;
    const char *end;
    int step_s;
    size_t rows;
    size_t fault_in; /* one row in so many has a fault; 0: none */
};

static const struct log_form forms[] = {
    {"plain", "Time,G tilt,T air,T in,Spare,T out,Flow", "ISO 8601", NULL, NULL, ',', '.', "\n", 1,
     20000, 0},
    {"a fault here and there", "Time,G tilt,T air,T in,Spare,T out,Flow", "ISO 8601", NULL, NULL,
     ',', '.', "\n", 1, 12000, 300},
    {"often a fault", "G tilt,Time,T air,T in,Spare,T out,Flow", "ISO 8601", NULL, NULL, ',', '.',
     "\n", 10, 9000, 3},
    {"commas, CR LF", "Time;Hour;G tilt;T air;T in;Spare;T out;Flow", "%d/%m/%Y %H:%M:%S", "Hour",
     "-7", ';', ',', "\r\n", 5, 9000, 40},
    {"tabs", "Time\tG tilt\tT air\tT in\tSpare\tT out\tFlow", "%y-%m-%d %H:%M", NULL, "7", '\t',
     '.', "\n", 60, 6000, 60},
};
#define FORMS (sizeof forms / sizeof forms[0])

/* The clock of a row; no month's end is reached. */
static void put_time(struct text *out, const struct log_form *form, long long second)
{
    long long day = 3 + second / 86400, hour = second / 3600 % 24, minute = second / 60 % 60;
    if (form->second != NULL)
        text_addf(out, "%02lld/06/2026%c%02lld:%02lld:%02lld", day, form->separator, hour, minute,
                  second % 60);
    else if (form->format[0] == '%')
        text_addf(out, "26-06-%02lld %02lld:%02lld", day, hour, minute);
    else
        text_addf(out, "2026-06-%02lldT%02lld:%02lld:%02lld", day, hour, minute, second % 60);
}

/* Like a reading; rarely of another form. */
static void put_reading(struct text *out, const struct log_form *form, uint64_t *state, bool fault)
{
    static const char *const odd[] = {"",     "NAN", "-7",   "7",    "-999.0", "12..3", "1.2.3",
                                      "+3.5", "-",   ".",    "3e1",  " 21.5",  "21.5 ", "x",
                                      "--3",  "3-",  "1,5",  "-.5",  "8.",     "0x3",   "00021.50",
                                      "0.12345678901234567890", "21.5000000000000000", "99999999"};
    if (fault && below(state, 3) == 0) {
        text_addf(out, "%s", odd[below(state, sizeof odd / sizeof odd[0])]);
        return;
    }
    if (below(state, 50) == 0)
        put_number(out, state, form->decimal, 17);
    else
        text_addf(out, "%zu%c%0*zu", below(state, 90), form->decimal, 1 + (int)below(state, 4),
                  below(state, 10));
}

/* What stands in place of a row, or beside it. */
static void put_other_line(struct text *out, const struct log_form *form, const char *mark,
                           uint64_t *state, long long second)
{
    static const char *const others[] = {"", "# a remark", "noon", "   ", "\"a\"b", "a\"b"};
    size_t which = below(state, 8);
    if (which >= 6) {
        text_addf(out, "%s%c", mark, form->separator);
        put_time(out, form, which == 6 ? second : second - 3600 > 0 ? second - 3600 : 0);
        text_addf(out, "%c1%c2", form->separator, form->separator);
    } else if (which < 2 || which == 3)
        text_addf(out, "%s", others[which]);
    else
        text_addf(out, "%s%c%s", mark, form->separator, others[which]);
    text_addf(out, "%s", form->end);
}

/* The same seed gives the same log but for the mark. */
static void put_log(struct text *out, const struct log_form *form, const char *mark)
{
    enum { READINGS = 6 };
    uint64_t state = 11;
    size_t time_at = strncmp(form->header, "Time", 4) == 0 ? 0 : 1;
    long long second = 7;
    text_addf(out, "Mark%c%s%s", form->separator, form->header, form->end);
    for (size_t row = 0; row < form->rows; row++) {
        bool fault = form->fault_in > 0 && below(&state, form->fault_in) == 0;
        second += fault && below(&state, 9) == 0 ? 4000 : form->step_s;
        if (fault && below(&state, 4) == 0)
            put_other_line(out, form, mark, &state, second);
        text_addf(out, "%s", mark);
        for (size_t i = 0; i < READINGS + 1; i++) {
            text_addf(out, "%c", form->separator);
            if (i == time_at)
                put_time(out, form, second);
            else
                put_reading(out, form, &state, fault);
        }
        text_addf(out, "%s", fault && below(&state, 20) == 0 ? "\r" : form->end);
    }
}

static void read_log(const struct log_form *form, const char *mark, const char *folder,
                     struct kept *kept, struct log_account *account)
{
    struct text bytes = {0};
    struct log_plan plan;
    char path[300];
    put_log(&bytes, form, mark);
    aid_write(folder, "a.csv", text_string(&bytes), bytes.length, path);
    text_free(&bytes);
    aid_plan(&plan, path);
    plan.separator = form->separator;
    plan.decimal = form->decimal;
    faults_init(&faults);
    assert_true(log_plan_set_time(&plan, "Time", form->second, form->format, &faults));
    if (form->missing != NULL)
        assert_true(log_plan_add_missing(&plan, form->missing, &faults));
    struct sink sink = aid_sink(kept);
    log_read(&plan, &sink, 1, account, &faults);
    log_plan_free(&plan);
}

static void same_rows(const char *name, const struct kept *a, const struct kept *b)
{
    if (a->n != b->n || a->blocks != b->blocks || a->gaps != b->gaps)
        fail_msg("%s: %zu rows in %zu blocks, in quotes %zu in %zu", name, a->n, a->blocks, b->n,
                 b->blocks);
    for (size_t i = 0; i < a->n; i++) {
        if (a->time_us[i] != b->time_us[i] || a->block_of[i] != b->block_of[i])
            fail_msg("%s: row %zu has another time or block", name, i);
        for (size_t c = 0; c < CH_LOGGED; c++)
            if (a->flag[c][i] != b->flag[c][i] ||
                (a->flag[c][i] == FLAG_GOOD &&
                 memcmp(&a->value[c][i], &b->value[c][i], sizeof(double)) != 0))
                fail_msg("%s: row %zu differs in channel %zu: %.17g, %.17g", name, i, c,
                         a->value[c][i], b->value[c][i]);
    }
}

static void same_number(const char *name, const char *what, uint64_t a, uint64_t b)
{
    if (a != b)
        fail_msg("%s: %" PRIu64 " %s, in quotes %" PRIu64, name, a, what, b);
}

static void same_accounts(const char *name, const struct log_account *a,
                          const struct log_account *b)
{
    same_number(name, "rows read", a->rows_read, b->rows_read);
    same_number(name, "rows used", a->rows_used, b->rows_used);
    same_number(name, "gaps", a->gaps, b->gaps);
    same_number(name, "first time", (uint64_t)a->first_us, (uint64_t)b->first_us);
    same_number(name, "last time", (uint64_t)a->last_us, (uint64_t)b->last_us);
    same_number(name, "last time of the file", (uint64_t)a->files[0].last_us,
                (uint64_t)b->files[0].last_us);
    same_number(name, "rows used of the file", a->files[0].rows_used, b->files[0].rows_used);
    for (size_t i = 0; i < ROW_REFUSALS; i++) {
        same_number(name, row_refusal_words((enum row_refusal)i), a->refused[i], b->refused[i]);
        same_number(name, "line of the first refusal", (uint64_t)a->first_refused[i].line,
                    (uint64_t)b->first_refused[i].line);
    }
    for (size_t c = 0; c < CH_LOGGED; c++)
        for (size_t f = 0; f < FLAG_COUNT; f++) {
            same_number(name, flag_word((enum reading_flag)f), a->channels[c].count[f],
                        b->channels[c].count[f]);
            same_number(name, "line of the first flag", (uint64_t)a->channels[c].first[f].line,
                        (uint64_t)b->channels[c].first[f].line);
        }
    for (size_t c = 0; c < CH_LOGGED; c++)
        if (a->channels[c].present &&
            (memcmp(&a->channels[c].least_si, &b->channels[c].least_si, sizeof(double)) != 0 ||
             memcmp(&a->channels[c].most_si, &b->channels[c].most_si, sizeof(double)) != 0))
            fail_msg("%s: channel %zu has another range", name, c);
}

static void batches_are_read_as_other_rows_are(void **state)
{
    (void)state;
    static struct kept plain, quoted;
    char *folder = aid_folder();
    assert_non_null(folder);
    for (size_t i = 0; i < FORMS; i++) {
        struct log_account a, b;
        read_log(&forms[i], "m", folder, &plain, &a);
        read_log(&forms[i], "\"m\"", folder, &quoted, &b);
        if (plain.n < forms[i].rows / 2)
            fail_msg("%s: only %zu rows were used", forms[i].name, plain.n);
        same_rows(forms[i].name, &plain, &quoted);
        same_accounts(forms[i].name, &a, &b);
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
static const char blank_lines[] = "\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n"
                                  "\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n";

enum { NUMBERS = 5, WANTED = 400000 };

/* Every number that a batch takes has the bits that number_read gives it; most are taken. */
static void numbers_of_batches_are_the_same_numbers(void **state)
{
    (void)state;
    struct log_plan plan;
    struct row_form form;
    uint64_t seed = 5;
    size_t tried = 0, taken = 0;
    faults_init(&faults);
    aid_plan(&plan, "a.csv");
    assert_true(row_form_init(&form, &plan, &faults));
    for (size_t k = 0; k < NUMBERS; k++) {
        form.scale[k].scale = 1.0; /* litres a minute would hide the last bit */
        form.scale[k].offset = 0.0;
        form.scale[k].least_si = -INFINITY;
        form.scale[k].most_si = INFINITY;
    }
    for (size_t row = 0; row < WANTED / NUMBERS; row++) {
        static struct batch batch;
        struct text line = {0}, number[NUMBERS] = {{0}};
        struct rows rows;
        int64_t time_us;
        double value[NUMBERS];
        struct batch_target target = {.time_us = &time_us, .room = 1, .last_us = 0,
                                      .gap_us = INT64_MAX};
        text_addf(&line, "Time,G tilt,T air,T in,T out,Flow\n2026-06-21T10:15:58");
        for (size_t k = 0; k < NUMBERS; k++) {
            put_number(&number[k], &seed, '.', 16);
            text_addf(&line, ",%s", text_string(&number[k]));
            target.value[k] = &value[k];
        }
        text_addf(&line, "\n%s", blank_lines);
        open_text(&rows, &form, &line);
        batch_init(&batch, &rows);
        tried++;
        if (batch_take(&batch, &rows, &target) == 1) {
            taken++;
            for (size_t k = 0; k < NUMBERS; k++) {
                double other;
                assert_true(number_read(text_string(&number[k]), number[k].length, '.', &other));
                if (memcmp(&value[k], &other, sizeof other) != 0 && (value[k] != 0 || other != 0))
                    fail_msg("'%s' is read as %.17g", text_string(&number[k]), value[k]);
            }
        }
        rows_close(&rows);
        text_free(&line);
        for (size_t k = 0; k < NUMBERS; k++)
            text_free(&number[k]);
    }
    log_plan_free(&plan);
    if (batch_avx2_able() && taken < tried / 2)
        fail_msg("only %zu of %zu rows were taken", taken, tried);
    if (!batch_avx2_able())
        assert_int_equal(taken, 0);
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
                                      .last_us = INT64_C(1782036900000000), .gap_us = 60000000};
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
