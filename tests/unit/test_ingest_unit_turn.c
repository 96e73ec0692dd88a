/* Temperatures that go on in the other unit. The numbers of the other unit were converted by hand:
 * 9.6 degC are 49.28 degF, 26.1 degC 78.98 degF, 33.7 degC 92.66 degF. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "ingest/unit_turn.h"

#include <math.h>
#include <string.h>

#define S INT64_C(1000000)
#define H (3600 * S)

static struct unit_turn_row row(int64_t time_us, const double t[3])
{
    return (struct unit_turn_row){
        .any = true, .time_us = time_us, .air_degC = t[0], .in_degC = t[1], .out_degC = t[2]};
}

static void turns_are_told(void **state)
{
    static const struct {
        const char *name;
        double before[3], after[3]; /* air, in, out */
        int64_t apart_us;
        enum unit_turn_kind kind;
        bool to_F;
    } rows[] = {
        {"goes on", {9.6, 26.1, 33.7}, {9.7, 26.0, 33.9}, 10 * S, TURN_NONE, false},
        {"to Fahrenheit", {9.6, 26.1, 33.7}, {49.2, 79.1, 92.9}, 10 * S, TURN_SURE, true},
        {"to Celsius", {49.2, 79.1, 92.9}, {9.6, 26.1, 33.7}, 10 * S, TURN_SURE, false},
        {"after a pause in which the water changed", {9.6, 26.1, 33.7}, {51.3, 105.8, 119.1},
         1200 * S, TURN_SURE, true},
        {"the air out of its range", {24.1, 41.0, 48.8}, {NAN, 105.8, 119.8}, 10 * S,
         TURN_SURE, true},
        {"the water alone", {9.6, 26.1, 33.7}, {9.7, 79.1, 92.9}, 10 * S, TURN_PERHAPS, true},
        {"over a night", {9.6, 26.1, 33.7}, {42.1, 105.2, 119.0}, 17 * H, TURN_PERHAPS, true},
        {"another session the next day", {24.6, 41.0, 48.8}, {17.2, 85.1, 88.9}, 17 * H, TURN_NONE,
         false},
        {"another season", {-5.1, 20.3, 29.7}, {26.2, 41.0, 49.9}, 90 * 24 * H, TURN_NONE, false},
        {"one sensor pulled out", {9.6, 26.1, 33.7}, {9.7, 79.0, 33.6}, 10 * S, TURN_NONE, false},
        {"water let in cold", {21.3, 78.4, 80.1}, {21.3, 31.2, 66.4}, 60 * S, TURN_NONE, false},
        {"air alone: another shade", {9.6, 26.1, 33.7}, {49.3, 26.1, 33.7}, 10 * S, TURN_NONE,
         false},
        {"nothing to compare", {NAN, NAN, NAN}, {49.3, 79.0, 92.7}, 10 * S, TURN_NONE, false},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct unit_turn_row before = row(0, rows[i].before);
        struct unit_turn_row after = row(rows[i].apart_us, rows[i].after);
        bool to_F = false;
        enum unit_turn_kind kind = unit_turn_between(&before, &after, &to_F);
        if (kind != rows[i].kind || (kind != TURN_NONE && to_F != rows[i].to_F))
            fail_msg("%s: %d, %s", rows[i].name, (int)kind, to_F ? "to Fahrenheit" : "to Celsius");
    }
}

enum { ROWS = 4096 };

/* Two blocks; the turn stands anywhere in them, also between. */
static void the_row_is_found(void **state)
{
    static const int at[] = {1, 17, ROWS - 1, ROWS, ROWS + 1, 2 * ROWS - 1};
    static double value[3][ROWS];
    static int64_t time_us[ROWS];
    static struct row_place place[ROWS];
    (void)state;
    for (size_t k = 0; k < sizeof at / sizeof at[0]; k++) {
        struct unit_turn turn;
        memset(&turn, 0, sizeof turn);
        for (int b = 0; b < 2; b++) {
            struct block block = {.n = ROWS, .time_us = time_us, .place = place};
            for (int c = 0; c < 3; c++) {
                enum channel channel = (const enum channel[]){CH_AMBIENT, CH_INLET, CH_OUTLET}[c];
                block.present[channel] = true;
                block.value[channel] = value[c];
            }
            for (int i = 0; i < ROWS; i++) {
                int n = b * ROWS + i;
                time_us[i] = n * 10 * S;
                place[i] = (struct row_place){0, (uint32_t)n + 2};
                for (int c = 0; c < 3; c++) {
                    double degC = 11.3 + 17.2 * c + 0.3 * (n % 5);
                    value[c][i] = n < at[k] ? degC : 1.8 * degC + 32.0;
                }
            }
            unit_turn_look(&turn, &block);
        }
        assert_int_equal(turn.kind, TURN_SURE);
        assert_true(turn.to_F);
        assert_int_equal(turn.after.place.line, at[k] + 2);
        assert_int_equal(turn.before.place.line, at[k] + 1);
    }
}

int main(void)
{
    static const struct CMUnitTest tests[] = {
        cmocka_unit_test(turns_are_told),
        cmocka_unit_test(the_row_is_found),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
