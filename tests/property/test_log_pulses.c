/* A meter whose pulses are counted from row to row, in logs of which rows are lost in every way:
 * over many invented logs no window's flow is low by the pulses that went with them, and windows
 * and means are those of a log in which such a row never stood and the count behind it is blank, to
 * the last bit, however many threads read it.
 *
 * The flow is constant; a window of 600 s holds some 11,000 pulses and its edges are right to one
 * each, so its flow to 2 in 10,000. A row that is lost would take 1 in 200 along, and 1 in 20 of
 * its slot, which passes for steady. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "run/reduction.h"
#include "tests/unit/aid_any_log.h"
#include "tests/unit/aid_folder.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { TRIALS = 24, ROWS = 6000, STEP_S = 3, ROWS_A_LOSS = 500, ROWS_A_BAD_STAMP = 600 };
enum { WINDOWS_LEAST = TRIALS * 5 };

static const double flow_m3_s = 4.022e-5, m3_per_pulse = 2.2e-6;

static struct faults faults;

/* What became of a row. */
enum fate {
    KEPT,
    STRAY,     /* its stamp is of another month */
    BAD_STAMP, /* its stamp cannot be read */
    TWICE,     /* another row of the same stamp is behind it */
    LOST,      /* on its way: its pulses with it */
    SKIPPED    /* by the logger, which counted on */
};

struct trial {
    enum fate fate[ROWS];
    double pulses[ROWS]; /* since the row before */
    uint64_t phase;
};

static void make_trial(struct trial *trial, uint64_t seed)
{
    double told = 0.0;
    trial->phase = aid_below(&seed, 1000);
    for (size_t i = 0; i < ROWS; i++) {
        double all =
            floor(flow_m3_s * STEP_S * (double)i / m3_per_pulse + (double)trial->phase / 1000.0);
        trial->fate[i] =
            aid_below(&seed, ROWS_A_BAD_STAMP) == 0 ? STRAY + (enum fate)aid_below(&seed, 2)
            : aid_below(&seed, ROWS_A_LOSS) == 0    ? TWICE + (enum fate)aid_below(&seed, 3)
                                                    : KEPT;
        if (i == 0 || i + 1 == ROWS)
            trial->fate[i] = KEPT;
        trial->pulses[i] = all - told;
        if (trial->fate[i] != SKIPPED)
            told = all;
    }
}

static void add_row(size_t row, const char *stamp, bool blank, double pulses, struct text *out)
{
    double i = (double)row, inlet = 21.7 + 19.3 * floor(i * 4.0 / ROWS) + 0.043 * sin(i / 1.7);
    text_addf(out, "%s,%.1f,%.2f,%.3f,%.3f,", stamp, 925.0 + 6.3 * sin(i / 7.1),
              23.4 + 0.31 * sin(i / 23.3), inlet, inlet + 7.0 + 0.021 * sin(i / 1.1));
    if (!blank)
        text_addf(out, "%.0f", pulses);
    text_add(out, "\n");
}

/* As the logger wrote it, or with nothing in the place of what is set aside. */
static void write_log(const struct trial *trial, bool as_written, struct text *out)
{
    bool after_lost = false;
    text_add(out, "Time,G,Air,In,Out,Pulses\n");
    for (size_t i = 0; i < ROWS; i++) {
        char stamp[40];
        enum fate fate = trial->fate[i];
        int s = 9 * 3600 + (int)i * STEP_S;
        snprintf(stamp, sizeof stamp, "2026-0%d-20T%02d:%02d:%02d%s", fate == STRAY ? 7 : 6,
                 s / 3600, s / 60 % 60, s % 60, fate == BAD_STAMP ? "x" : "");
        bool aside = fate == STRAY || fate == BAD_STAMP;
        if (fate != LOST && fate != SKIPPED && (as_written || !aside))
            add_row(i, stamp, !as_written && after_lost, trial->pulses[i], out);
        if (fate == TWICE && as_written)
            add_row(i + 1, stamp, false, 137.0, out);
        if (fate != LOST && fate != SKIPPED)
            after_lost = aside || fate == TWICE;
    }
}

static struct reduction *reduce(const char *folder, const struct text *log, unsigned threads)
{
    char path[300];
    static const char description[] =
        "[collector]\ngross area = 2.05 m2\n[steady state]\nrules = homemade rig\n"
        "[run curve]\nkind = efficiency\n[log]\nfile = log.csv\ntime = Time, ISO 8601, UTC\n"
        "[instrument sun]\nmeasures = irradiance\ncolumn = G\nunit = W/m2\n"
        "calibration = 1.2 % k=2\n"
        "[instrument air]\nmeasures = ambient\ncolumn = Air\nunit = degC\ncalibration = 0.3 K k=2\n"
        "[instrument in]\nmeasures = inlet\ncolumn = In\nunit = degC\ncalibration = 0.1 K k=2\n"
        "[instrument out]\nmeasures = outlet\ncolumn = Out\nunit = degC\n"
        "calibration = 0.1 K k=2\n"
        "[instrument meter]\nmeasures = flow\ncolumn = Pulses\nunit = pulses per interval\n"
        "litres per pulse = 2.2 mL\ncalibration = 0.8 % k=2\n";
    aid_write(folder, "log.csv", text_string(log), log->length, path);
    aid_write(folder, "test.txt", description, sizeof description - 1, path);
    struct reduction *r = malloc(sizeof *r);
    assert_non_null(r);
    faults_init(&faults);
    reduction_init(r);
    r->threads = threads;
    if (!reduction_describe(r, path, &faults) || !reduction_read(r, &faults))
        fail_msg("%s", faults.items[0].found);
    return r;
}

static void none_is_low(size_t trial, const struct reduction *r)
{
    for (size_t i = 0; i < r->means.n; i++) {
        double off = r->means.items[i].mean[CH_FLOW] / flow_m3_s - 1.0;
        if (!(fabs(off) < 2e-4))
            fail_msg("trial %zu, window %s: the flow is off by %g", trial, r->means.items[i].name,
                     off);
    }
}

static void same_means(size_t trial, const struct reduction *a, const struct reduction *b)
{
    if (a->means.n != b->means.n)
        fail_msg("trial %zu: %zu windows, %zu", trial, a->means.n, b->means.n);
    for (size_t i = 0; i < a->means.n; i++) {
        const struct means *x = &a->means.items[i], *y = &b->means.items[i];
        if (x->start_us != y->start_us || x->readings != y->readings ||
            memcmp(x->mean, y->mean, sizeof x->mean) != 0 || memcmp(x->u, y->u, sizeof x->u) != 0)
            fail_msg("trial %zu: window %s differs", trial, x->name);
    }
}

static void end(struct reduction *r)
{
    reduction_free(r);
    free(r);
}

static void no_pulses_are_lost_in_silence(void **state)
{
    (void)state;
    static struct trial trial;
    size_t windows = 0;
    for (size_t t = 0; t < TRIALS; t++) {
        struct text written = {0}, plain = {0};
        char *folder = aid_folder();
        assert_non_null(folder);
        make_trial(&trial, 101 + t);
        write_log(&trial, true, &written);
        write_log(&trial, false, &plain);
        struct reduction *a = reduce(folder, &written, 1), *b = reduce(folder, &plain, 1);
        struct reduction *threaded = reduce(folder, &written, 3);
        none_is_low(t, a);
        same_means(t, a, b);
        same_means(t, a, threaded);
        windows += a->means.n;
        end(a);
        end(b);
        end(threaded);
        text_free(&written);
        text_free(&plain);
        aid_remove(folder);
        free(folder);
    }
    assert_true(windows > WINDOWS_LEAST);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(no_pulses_are_lost_in_silence)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
