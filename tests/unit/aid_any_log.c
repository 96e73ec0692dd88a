#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "tests/unit/aid_any_log.h"

#include "tests/unit/aid_folder.h"

#include <inttypes.h>
#include <string.h>

/* splitmix64 */
static uint64_t draw(uint64_t *state)
{
    uint64_t z = *state += UINT64_C(0x9E3779B97F4A7C15);
    z = (z ^ (z >> 30)) * UINT64_C(0xBF58476D1CE4E5B9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94D049BB133111EB);
    return z ^ (z >> 31);
}

size_t aid_below(uint64_t *state, size_t n)
{
    return (size_t)(draw(state) % n);
}

/* A number of up to `most` digits, with a sign and a decimal sign where they fall. */
void aid_put_number(struct text *out, uint64_t *state, char decimal, size_t most)
{
    size_t digits = 1 + aid_below(state, most);
    size_t point = aid_below(state, digits + 3);
    if (aid_below(state, 4) == 0)
        text_addf(out, "-");
    for (size_t i = 0; i < digits; i++) {
        if (i == point)
            text_addf(out, "%c", decimal);
        text_addf(out, "%zu", aid_below(state, 3) == 0 ? (size_t)0 : aid_below(state, 10));
    }
    if (point == digits)
        text_addf(out, "%c", decimal);
}

const struct aid_log_form aid_log_forms[AID_LOG_FORMS] = {
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
/* The clock of a row; no month's end is reached. */
static void put_time(struct text *out, const struct aid_log_form *form, long long second)
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
static void put_reading(struct text *out, const struct aid_log_form *form, uint64_t *state,
                        bool fault)
{
    static const char *const odd[] = {"",     "NAN", "-7",   "7",    "-999.0", "12..3", "1.2.3",
                                      "+3.5", "-",   ".",    "3e1",  " 21.5",  "21.5 ", "x",
                                      "--3",  "3-",  "1,5",  "-.5",  "8.",     "0x3",   "00021.50",
                                      "0.12345678901234567890", "21.5000000000000000", "99999999"};
    if (fault && aid_below(state, 3) == 0) {
        text_addf(out, "%s", odd[aid_below(state, sizeof odd / sizeof odd[0])]);
        return;
    }
    if (aid_below(state, 50) == 0)
        aid_put_number(out, state, form->decimal, 17);
    else
        text_addf(out, "%zu%c%0*zu", aid_below(state, 90), form->decimal,
                  1 + (int)aid_below(state, 4), aid_below(state, 10));
}

/* What stands in place of a row, or beside it. */
static void put_other_line(struct text *out, const struct aid_log_form *form, const char *mark,
                           uint64_t *state, long long second)
{
    static const char *const others[] = {"", "# a remark", "noon", "   ", "\"a\"b", "a\"b"};
    size_t which = aid_below(state, 8);
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
static void put_log(struct text *out, const struct aid_log_form *form, const char *mark)
{
    enum { READINGS = 6 };
    uint64_t state = 11;
    size_t time_at = strncmp(form->header, "Time", 4) == 0 ? 0 : 1;
    long long second = 7;
    text_addf(out, "Mark%c%s%s", form->separator, form->header, form->end);
    for (size_t row = 0; row < form->rows; row++) {
        bool fault = form->fault_in > 0 && aid_below(&state, form->fault_in) == 0;
        second += fault && aid_below(&state, 9) == 0 ? 4000 : form->step_s;
        if (fault && aid_below(&state, 4) == 0)
            put_other_line(out, form, mark, &state, second);
        text_addf(out, "%s", mark);
        for (size_t i = 0; i < READINGS + 1; i++) {
            text_addf(out, "%c", form->separator);
            if (i == time_at)
                put_time(out, form, second);
            else
                put_reading(out, form, &state, fault);
        }
        text_addf(out, "%s", fault && aid_below(&state, 20) == 0 ? "\r" : form->end);
    }
}

bool aid_read_log(const struct aid_log_form *form, const char *mark, const char *folder,
                  unsigned threads, struct sink *sink, struct log_account *account,
                  struct faults *faults)
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
    plan.threads = threads;
    faults_init(faults);
    assert_true(log_plan_set_time(&plan, "Time", form->second, form->format, faults));
    if (form->missing != NULL)
        assert_true(log_plan_add_missing(&plan, form->missing, faults));
    bool good = log_read(&plan, sink, 1, account, faults);
    log_plan_free(&plan);
    return good;
}

void aid_same_rows(const char *name, const struct kept *a, const struct kept *b)
{
    if (a->n != b->n || a->blocks != b->blocks || a->gaps != b->gaps)
        fail_msg("%s: %zu rows in %zu blocks, otherwise %zu in %zu", name, a->n, a->blocks, b->n,
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
        fail_msg("%s: %" PRIu64 " %s, otherwise %" PRIu64, name, a, what, b);
}

void aid_same_accounts(const char *name, const struct log_account *a,
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
    for (size_t c = 0; c < CH_LOGGED; c++) {
        same_number(name, "rows that stood still", a->channels[c].still.n, b->channels[c].still.n);
        same_number(name, "thousands", a->channels[c].thousand.rows, b->channels[c].thousand.rows);
        if (a->channels[c].ceiling.share != b->channels[c].ceiling.share)
            fail_msg("%s: another share at the ceiling", name);
    }
    for (size_t c = 0; c < CH_LOGGED; c++)
        if (a->channels[c].present &&
            (memcmp(&a->channels[c].least_si, &b->channels[c].least_si, sizeof(double)) != 0 ||
             memcmp(&a->channels[c].most_si, &b->channels[c].most_si, sizeof(double)) != 0))
            fail_msg("%s: channel %zu has another range", name, c);
}
