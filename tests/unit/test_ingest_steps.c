/* How fine a column's readings are by its first rows, and when that is known. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "ingest/steps.h"

#include <math.h>

static struct faults faults;

static void add(struct log_plan *plan, enum channel channel, struct log_screening screening)
{
    assert_true(log_plan_add_column(
        plan, channel, "x",
        unit_find(channel == CH_INCIDENCE ? "deg" : "degC", channel_row(channel)->dimension), 1.0,
        0.0, &faults));
    log_plan_screen_column(plan, screening);
}

static void the_third_smallest_change_counts(void **state)
{
    static const struct {
        const char *name;
        double value[8];
        double least_si, most_si;
    } rows[] = {
        {"changes of many sizes", {20.0, 20.5, 20.25, 20.25, 21.25, 21.125, 23.0, 23.0}, 0.5, 23.0},
        {"two changes", {20.0, 20.5, 20.5, 20.5, 20.25, 20.25, 20.25, 20.25}, INFINITY, 20.5},
        {"one fine change alone", {20.0, 20.5, 21.0, 21.015625, 21.5, 22.0, 22.5, 23.0}, 0.5, 23.0},
        {"a row that is not good",
         {20.0, 20.5, NAN, 20.625, 20.25, 20.5, 20.5, 20.25},
         0.375,
         20.625},
        {"none is good", {NAN, NAN, NAN, NAN, NAN, NAN, NAN, NAN}, INFINITY, NAN},
    };
    (void)state;
    for (size_t r = 0; r < sizeof rows / sizeof rows[0]; r++) {
        struct log_plan plan;
        struct steps steps;
        faults_init(&faults);
        log_plan_init(&plan);
        add(&plan, CH_INLET, (struct log_screening){0, 0.0, 0.0});
        steps_init(&steps, &plan);
        for (size_t i = 0; i < 8; i++)
            steps_row(&steps, &rows[r].value[i]);
        double least_si = steps_least_si(&steps, 0), most_si = steps.column[0].most_si;
        if (least_si != rows[r].least_si ||
            (most_si != rows[r].most_si && !(isnan(most_si) && isnan(rows[r].most_si))))
            fail_msg("%s: %g up to %g", rows[r].name, least_si, most_si);
        log_plan_free(&plan);
    }
}

/* Only columns whose runs are judged by steps that nobody stated are waited for. */
static void known_when_every_column_that_matters_has_moved(void **state)
{
    static const struct {
        const char *name;
        enum channel channel;
        struct log_screening screening;
        bool waited_for;
    } rows[] = {
        {"a thermometer", CH_OUTLET, {0, 0.0, 0.0}, true},
        {"an angle, which is never stuck", CH_INCIDENCE, {0, 0.0, 0.0}, false},
        {"a stated resolution", CH_OUTLET, {0, 0.0, 0.03}, false},
        {"a stated time", CH_OUTLET, {90000000, 0.0, 0.0}, false},
        {"never stuck, as stated", CH_OUTLET, {-1, 0.0, 0.0}, false},
    };
    (void)state;
    for (size_t r = 0; r < sizeof rows / sizeof rows[0]; r++) {
        struct log_plan plan;
        struct steps steps;
        faults_init(&faults);
        log_plan_init(&plan);
        add(&plan, CH_INLET, (struct log_screening){0, 0.0, 0.0});
        add(&plan, rows[r].channel, rows[r].screening);
        steps_init(&steps, &plan);
        for (int i = 0; i < 17; i++) {
            assert_false(steps_known(&steps));
            steps_row(&steps, (double[]){20.0 + 0.1 * i, 7.25});
        }
        if (steps_known(&steps) == rows[r].waited_for)
            fail_msg("%s", rows[r].name);
        for (int i = 0; i < 16; i++)
            steps_row(&steps, (double[]){22.0, 8.25 + i});
        assert_true(steps_known(&steps));
        log_plan_free(&plan);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_third_smallest_change_counts),
        cmocka_unit_test(known_when_every_column_that_matters_has_moved),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
