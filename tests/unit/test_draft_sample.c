#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>

#include <cmocka.h>

#include "draft/draft.h"
#include "draft/draft_read.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* What is looked at of a long log, and what its clock, its numbers and its bytes tell. */

#define LENGTH_OF(array) (sizeof(array) / sizeof((array)[0]))

static struct faults faults;
static char path[128];

static int set_up(void **state)
{
    (void)state;
    const char *tmp = getenv("TMPDIR");
    snprintf(path, sizeof path, "%s/draft-sample-XXXXXX", tmp != NULL ? tmp : P_tmpdir);
    int fd = mkstemp(path);
    return fd < 0 || close(fd) != 0;
}

static int tear_down(void **state)
{
    (void)state;
    return unlink(path);
}

static FILE *open_log(const char *head)
{
    FILE *file = fopen(path, "wb");
    assert_non_null(file);
    fputs(head, file);
    return file;
}

static void read_log(struct draft_log *log)
{
    static const char *const logs[] = {path};
    faults_init(&faults);
    if (!draft_log_read(log, logs, 1, NULL, &faults)) {
        faults_print(&faults, "test", stderr);
        fail();
    }
}

/* 300,000 rows of 40 bytes: days 1 to 9 in the beginning, 13 in the end; a gap nobody looks at. */
static void the_end_of_a_long_log_settles_the_day(void **state)
{
    (void)state;
    struct draft_log log;
    FILE *file = open_log("stamp,T in [degC],G [W/m2],flow\n");
    for (int i = 0; i < 300000; i++)
        fprintf(file, "%02d/03/2026 %02d:%02d:%02d,23.4%d,87%d,2.413\n", 1 + i / 24000,
                i / 1000 % 24, i / 20 % 50, i % 20 * 3, i % 10, i % 10);
    assert_int_equal(fclose(file), 0);
    read_log(&log);
    assert_string_equal(log.clock.format, "%d/%m/%Y %H:%M:%S");
    assert_string_equal(log.clock.other, "");
    assert_non_null(log.clock.settled);
    assert_true(log.sample.more);
    assert_true(log.sample.n_rows > 10000 && log.sample.n_rows < 100000);
    assert_int_equal(log.sample.n_bad, 0);
    assert_int_equal(log.sample.row[0].line, 2);
    assert_int_equal(log.sample.row[log.sample.n_rows - 1].line, 0);
    assert_int_equal(log.clock.run.step_us, 3000000);
    draft_log_free(&log);
    draft_log_free(&log);
}

/* 6 July, or 7 June? The rows run through a midnight: to the 7th of July they run on, to the 7th of
 * July read as month and day they would jump by a month. */
static void a_midnight_settles_the_day(void **state)
{
    static const struct {
        const char *name;
        const char *before;
        const char *after;
        const char *format;
    } rows[] = {
        {"day first", "06/07/2026", "07/07/2026", "%d/%m/%Y %H:%M"},
        {"month first", "07/06/2026", "07/07/2026", "%m/%d/%Y %H:%M"},
        {"day first, short", "6-7-26", "7-7-26", "%d-%m-%y %H:%M"},
        {"year first, short", "26-06-05", "26-06-06", "%y-%m-%d %H:%M"},
        {"year last, short", "05-06-07", "06-06-07", "%d-%m-%y %H:%M"},
        {"day first, points", "05.06.07", "06.06.07", "%d.%m.%y %H:%M"},
        {"month first, points", "06.05.2026", "06.06.2026", "%m.%d.%Y %H:%M"},
    };
    (void)state;
    for (size_t i = 0; i < LENGTH_OF(rows); i++) {
        struct draft_log log;
        FILE *file = open_log("stamp,T in [degC],G [W/m2],flow\n");
        for (int minute = 0; minute < 20; minute++)
            fprintf(file, "%s %02d:%02d,23.41,871,2.413\n",
                    minute < 10 ? rows[i].before : rows[i].after, minute < 10 ? 23 : 0,
                    (minute + 50) % 60);
        assert_int_equal(fclose(file), 0);
        read_log(&log);
        if (strcmp(log.clock.format, rows[i].format) != 0 || log.clock.settled == NULL ||
            log.clock.other[0] != '\0' || log.clock.year_first[0] != '\0')
            fail_msg("%s: %s (%s)", rows[i].name, log.clock.format,
                     log.clock.settled == NULL ? "open" : log.clock.settled);
        draft_log_free(&log);
    }
}

/* Numbers of a column, and what of them are error codes. */
static void codes_are_told_from_readings(void **state)
{
    static const struct {
        const char *name;
        const char *numbers[8];
        double code; /* 0: none */
        size_t n;
        double least;
        double most;
    } rows[] = {
        {"known and single", {"21.37", "-127", "21.62", "22.13"}, -127.0, 1, 21.37, 22.13},
        {"known, of a loop", {"21.37", "6999", "6999", "22.13"}, 6999.0, 2, 21.37, 22.13},
        {"far and repeated", {"21.37", "-273", "-273", "-273", "22.4"}, -273.0, 3, 21.37, 22.4},
        {"far, once: a reading", {"21.37", "-273", "22.13", "22.4"}, 0.0, 0, -273.0, 22.4},
        {"two numbers alone", {"95.1", "95.1", "155.1", "155.1", "155.1"}, 0.0, 0, 95.1, 155.1},
        {"85 is possible", {"81.37", "85.0", "85.0", "85.0", "84.12"}, 0.0, 0, 81.37, 85.0},
        {"sunshine over a code", {"871.5", "0.3", "-9999", "1.7"}, -9999.0, 1, 0.3, 871.5},
        {"nothing else", {"-9999", "-9999"}, -9999.0, 2, 0.0, 0.0},
    };
    (void)state;
    for (size_t i = 0; i < LENGTH_OF(rows); i++) {
        struct draft_log log;
        FILE *file = open_log("time,T in [degC],note\n");
        for (int k = 0; k < 8 && rows[i].numbers[k] != NULL; k++)
            fprintf(file, "2026-06-21 10:%02d,%s,x\n", k, rows[i].numbers[k]);
        assert_int_equal(fclose(file), 0);
        read_log(&log);
        const struct measure *m = &log.columns[1].measure;
        bool right =
            m->n_codes == (rows[i].n > 0) && m->least == rows[i].least && m->most == rows[i].most &&
            (m->n_codes == 0 || (m->code[0].value == rows[i].code && m->code[0].n == rows[i].n));
        if (!right)
            fail_msg("%s: %zu codes, first %g %zu times, from %g to %g", rows[i].name, m->n_codes,
                     m->code[0].value, m->code[0].n, m->least, m->most);
        draft_log_free(&log);
    }
}

/* Sunshine is known by its nights; a column that shines then is something else. */
static void nights_tell_the_sun(void **state)
{
    (void)state;
    for (int shines = 0; shines < 2; shines++) {
        struct draft_log log;
        FILE *file = open_log("time,ch1,T in [degC]\n");
        for (int hour = 0; hour < 24; hour++)
            fprintf(file, "2026-06-21 %02d:30,%d,23.41\n", hour,
                    hour > 6 && hour < 20 ? 730 + hour
                    : shines              ? 410
                                          : -2);
        assert_int_equal(fclose(file), 0);
        read_log(&log);
        assert_int_equal(log.chosen[CH_IRRADIANCE], shines ? log.sample.head.n : 1);
        if (!shines)
            assert_non_null(strstr(log.columns[1].guess.why, "near 0 at night, up to 749 by day"));
        draft_log_free(&log);
    }
}

/* An outlet that is colder than the inlet, and units that no collector has. */
static void doubts_are_said(void **state)
{
    static const struct {
        const char *name;
        const char *row; /* behind the stamp: G, T in, T out, flow */
        const char *doubt;
    } rows[] = {
        {"exchanged", "871,33.41,23.37,2.413", "outlet is colder than the inlet in 15 of 15"},
        {"a gallon too many", "871,23.41,73.37,2413", "is the unit of the flow, of the sunshine"},
        {"nothing", "871,23.41,33.37,2.413", NULL},
    };
    (void)state;
    for (size_t i = 0; i < LENGTH_OF(rows); i++) {
        struct draft_log log;
        FILE *file = open_log("time,G [W/m2],T in [degC],T out [degC],flow [L/min]\n");
        for (int k = 0; k < 15; k++)
            fprintf(file, "2026-06-21 10:00:%02d,%s\n", k, rows[i].row);
        assert_int_equal(fclose(file), 0);
        read_log(&log);
        if ((rows[i].doubt == NULL) != (log.n_doubts == 0) ||
            (rows[i].doubt != NULL && strstr(log.doubt[0], rows[i].doubt) == NULL))
            fail_msg("%s: %zu doubts, first '%s'", rows[i].name, log.n_doubts, log.doubt[0]);
        draft_log_free(&log);
    }
}

/* The limits of ISO 9806:2017 as window/rules_sets.c has them: 0.1 K, 1 %, means over 30 s. */
static void rules_follow_the_quietest_stretch(void **state)
{
    static const struct {
        const char *name;
        int step_s;
        double drift_K;  /* of the inlet, in an hour */
        double waver;    /* of the flow */
        const char *why; /* NULL: the standard's */
    } rows[] = {
        {"steady", 10, 0.1, 0.002, NULL},
        {"a tank that warms", 10, 2.3, 0.002, "the inlet strays by 0.47"},
        {"a pump that wanders", 10, 0.1, 0.03, "the flow strays by 3.0"},
        {"a slow logger", 60, 0.1, 0.002, NULL}, /* its readings are slots (docs/methods.md) */
        {"a slow logger, a tank that warms", 60, 2.3, 0.002, "the inlet strays by 0.4"},
        {"a slow logger, a pump that wanders", 60, 0.1, 0.03, "the flow strays by 3"},
        {"a row every two minutes", 120, 0.1, 0.002, NULL},
    };
    (void)state;
    for (size_t i = 0; i < LENGTH_OF(rows); i++) {
        struct draft_log log;
        FILE *file = open_log("time,G [W/m2],T in [degC],T out [degC],flow [L/min]\n");
        for (int s = 0; s < 3600; s += rows[i].step_s)
            fprintf(file, "2026-06-21 10:%02d:%02d,871,%.4f,33.37,%.4f\n", s / 60, s % 60,
                    23.41 + rows[i].drift_K * s / 3600.0,
                    2.413 * (1.0 + rows[i].waver * (s / 60 % 2 == 0 ? 1.0 : -1.0)));
        assert_int_equal(fclose(file), 0);
        read_log(&log);
        if (log.homemade != (rows[i].why != NULL) ||
            (rows[i].why != NULL && strstr(log.rules_why, rows[i].why) == NULL))
            fail_msg("%s: '%s'", rows[i].name, log.rules_why);
        draft_log_free(&log);
    }
}

/* Damaged logs of every kind of head: a draft or a fault, never a crash; under the sanitizers never
 * a byte beyond its place either. The sequence is that of a linear congruential generator
 * (constants of Knuth's MMIX), so that every run tries the same. */
static void whatever_bytes_come(void **state)
{
    static const char *const bases[] = {
        ("time,T_in [degC],T_out [degC],T_air,flow L/min,G\n2026-06-21 "
        "10:15:30,23.4,31.7,19.8,1.4,871\n"
        "2026-06-21 10:15:40,23.5,31.7,19.8,1.4,872\n2026-06-21 10:15:50,-127,31.7,NAN,1.4,873\n"),
        ("Date;Time;T1;T2;T3;pulses;sun\n,;;degC;degC;degC;;W/m2\n21.06.26;2:15 "
        "PM;23,4;31,7;19,8;10;871\n"
        "21.06.26;2:16 PM;23,4;31,7;19,8;11;871\n21.06.26;2:17 PM;23,4;31,7;19,8;12;871\n"),
        ("point,group,irradiance [W/m2],ambient [degC],inlet [degC],outlet [degC],flow [L/min]\n"
        "1,\"a, b\",871,19.8,23.4,31.7,1.42\n2,c,872,19.8,43.4,51.7,1.42\n"),
    };
    static const char odd[] = "\0\"',;\t\r\n#[](){}%-.:/0E9\xff\xb0\xc2 ";
    uint64_t random = 1234567;
    size_t n_good = 0, n_refused = 0;
    (void)state;
    for (int round = 0; round < 150; round++) {
        char bytes[600];
        const char *base = bases[round % (int)LENGTH_OF(bases)];
        size_t n = strlen(base);
        memcpy(bytes, base, n);
        for (int k = 0; k < 1 + round % 9; k++) {
            random = random * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
            bytes[(random >> 33) % n] = odd[(random >> 20) % (sizeof odd - 1)];
        }
        n -= round % 7 == 0 ? (size_t)(random >> 40) % n : 0;
        FILE *file = fopen(path, "wb");
        assert_non_null(file);
        assert_int_equal(fwrite(bytes, 1, n, file), n);
        assert_int_equal(fclose(file), 0);
        const char *logs[] = {path};
        struct text understood = {0}, description = {0}, json = {0};
        faults_init(&faults);
        bool good = draft_write(logs, 1, NULL, NULL, &understood, &description, &json, &faults);
        assert_true(good ? description.length > 0 : faults.n > 0);
        assert_true(!good || text_is_utf8(description.bytes, description.length));
        assert_true(!good || text_is_utf8(json.bytes, json.length));
        n_good += good;
        n_refused += !good;
        text_free(&understood);
        text_free(&description);
        text_free(&json);
    }
    assert_true(n_good > 30 && n_refused > 3);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_end_of_a_long_log_settles_the_day),
        cmocka_unit_test(a_midnight_settles_the_day),
        cmocka_unit_test(codes_are_told_from_readings),
        cmocka_unit_test(nights_tell_the_sun),
        cmocka_unit_test(doubts_are_said),
        cmocka_unit_test(rules_follow_the_quietest_stretch),
        cmocka_unit_test(whatever_bytes_come),
    };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}
