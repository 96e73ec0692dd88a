/* Delay line, slots and pooled noise, each against plain arithmetic. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "aid_log.h"
#include "window/delay.h"
#include "window/slots.h"
#include "window/window_noise.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define S INT64_C(1000000)

static struct faults *faults;

static int set_up(void **state)
{
    (void)state;
    faults = calloc(1, sizeof *faults);
    if (faults != NULL)
        faults_init(faults);
    return faults == NULL;
}

static int tear_down(void **state)
{
    (void)state;
    free(faults);
    return 0;
}

static void near(const char *name, double found, double expected, double tolerance)
{
    if (!(fabs(found - expected) <= tolerance))
        fail_msg("%s: found %.15g, expected %.15g", name, found, expected);
}

/* A straight line comes out as the same line, one delay later, wherever the readings stand. */
static void delay_gives_the_value_of_then(void **state)
{
    (void)state;
    static const int64_t delays_us[] = {0, 1, 2500000, 10 * S, 333 * S};
    for (size_t k = 0; k < sizeof delays_us / sizeof delays_us[0]; k++) {
        struct delay delay;
        int64_t time_us = 77 * S, first_us = time_us;
        uint32_t seed = 8;
        size_t missing = 0;
        delay_init(&delay, delays_us[k]);
        for (size_t i = 0; i < 3000; i++) {
            double now = 20.0 + 1e-8 * (double)time_us, then;
            assert_true(delay_next(&delay, time_us, now, &then, faults));
            if (time_us - delays_us[k] < first_us) {
                assert_true(isnan(then));
                missing++;
            } else {
                near("then", then, now - 1e-8 * (double)delays_us[k], 1e-9);
            }
            time_us += S / 3 + (int64_t)(aid_uniform(&seed) * 2e6);
        }
        assert_true(missing < 1000 && (missing > 0) == (delays_us[k] > 0));
        delay_free(&delay);
        delay_free(&delay);
    }
}

static void delay_knows_what_it_cannot_know(void **state)
{
    (void)state;
    struct delay delay;
    double then;
    delay_init(&delay, 15 * S);
    for (int64_t i = 0; i < 6; i++) { /* steps of 10 s; the reading at 20 s is bad */
        assert_true(delay_next(&delay, i * 10 * S, i == 2 ? NAN : (double)i, &then, faults));
        bool known = i == 2; /* from 0 and 10 s; later ones need the one at 20 s until 50 s */
        if (known != isfinite(then) && i != 5)
            fail_msg("reading %d: %g", (int)i, then);
    }
    near("at 35 s, between 30 and 40 s", then, 3.5, 1e-12);
    delay_restart(&delay);
    assert_true(delay_next(&delay, 60 * S, 6.0, &then, faults));
    assert_true(isnan(then));
    delay_free(&delay);
}

/* Slots as they come. */
struct seen {
    struct slot slot[200];
    size_t n;
    int64_t slot_us;
    size_t readings;
};

static bool seen_ready(void *state, int64_t slot_us, struct faults *unused)
{
    (void)unused;
    ((struct seen *)state)->slot_us = slot_us;
    return true;
}

static bool seen_reading(void *state, const double *value, struct faults *unused)
{
    (void)unused;
    (void)value;
    ((struct seen *)state)->readings++;
    return true;
}

static bool seen_span(void *state, const double *const value[CH_COUNT], size_t first, size_t n,
                      struct faults *unused)
{
    (void)unused;
    (void)first;
    (void)value;
    ((struct seen *)state)->readings += n;
    return true;
}

static bool seen_slot(void *state, const struct slot *slot, struct faults *unused)
{
    struct seen *seen = state;
    (void)unused;
    assert_true(seen->n < 200);
    seen->slot[seen->n++] = *slot;
    return true;
}

static bool slots_sink_take(void *state, const struct block *block, struct faults *list)
{
    return slots_take(state, block, list);
}

static bool slots_sink_finish(void *state, struct faults *list)
{
    return slots_finish(state, list);
}

/* Cuts a log, fed in blocks of most_rows rows at most, into slots of 30 s; irradiance to flow are
 * needed. */
static void cut_slots_in(const struct aid_log *log, bool pulses, size_t most_rows,
                         struct slots *slots, struct seen *seen)
{
    bool needs[CH_COUNT] = {true, true, true, true, true};
    struct slots_user user = {seen, seen_ready, seen_reading, seen_span, seen_slot};
    memset(seen, 0, sizeof *seen);
    assert_true(slots_init(slots, 30 * S, needs, user, faults));
    slots->counts[COUNTED_FLOW] = pulses;
    aid_log_feed(log, (struct sink){slots, slots_sink_take, slots_sink_finish}, most_rows, 5);
}

static void cut_slots_of(const struct aid_log *log, bool pulses, struct slots *slots,
                         struct seen *seen)
{
    cut_slots_in(log, pulses, 13, slots, seen);
}

static void cut_slots(const struct aid_log *log, struct slots *slots, struct seen *seen)
{
    cut_slots_of(log, false, slots, seen);
}

static void slots_count_from_each_segment(void **state)
{
    (void)state;
    struct aid_log log;
    struct slots slots;
    struct seen seen;
    aid_log_init(&log, 145, 1234567, 2 * S); /* 290 s: 9 slots of 15 readings and 10 readings */
    for (size_t i = 0; i < log.n; i++)
        log.value[CH_INLET][i] = (double)i;
    aid_log_remove(&log, 50, 4); /* rows 0 to 49: 3 slots, 5 readings left over */
    log.gap[50] = true;
    cut_slots(&log, &slots, &seen);
    assert_true(seen.slot_us == 30 * S);
    assert_int_equal(seen.readings, 141);
    /* 91 rows after the gap: 6 slots of 15 and one reading */
    assert_int_equal(seen.n, 9);
    assert_int_equal(slots.n_dropped, 2);
    assert_int_equal(slots.n_segments, 2);
    for (size_t k = 0; k < 9; k++) {
        const struct slot *slot = &seen.slot[k];
        int64_t start_us = k < 3 ? (int64_t)k * 30 * S : 108 * S + (int64_t)(k - 3) * 30 * S;
        assert_true(slot->start_us == 1234567 + start_us);
        assert_true(slot->end_us == slot->start_us + 30 * S);
        assert_int_equal(slot->readings, 15);
        assert_int_equal(slot->opens_segment, k == 0 || k == 3);
        assert_false(slot->broken);
        double first = k < 3 ? 15.0 * (double)k : 54.0 + 15.0 * (double)(k - 3);
        near("sum", slot->sum[CH_INLET], 15.0 * (first + 7.0), 1e-9);
    }
    slots_free(&slots);
    aid_log_free(&log);
}

/* The last of 15 readings may be early by jitter, but it must be there. */
static void the_last_slot_must_be_full(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        size_t rows;
        int64_t early_us;
        size_t slots;
    } rows[] = {
        {"all there", 30, 0, 2},
        {"last one early by 0.9 s", 30, 900000, 2},
        {"last one late", 30, -900000, 2},
        {"last one missing", 29, 0, 1},
        {"last one missing, the one before late", 29, -700000, 1},
        {"one too many", 31, 0, 2},
    };
    for (size_t k = 0; k < sizeof rows / sizeof rows[0]; k++) {
        struct aid_log log;
        struct slots slots;
        struct seen seen;
        aid_log_init(&log, rows[k].rows, 0, 2 * S);
        log.time_us[rows[k].rows - 1] -= rows[k].early_us;
        cut_slots(&log, &slots, &seen);
        if (seen.n != rows[k].slots)
            fail_msg("%s: %zu slots", rows[k].name, seen.n);
        slots_free(&slots);
        aid_log_free(&log);
    }
}

static void slots_break_at_bad_or_no_readings(void **state)
{
    (void)state;
    struct aid_log log;
    struct slots slots;
    struct seen seen;
    aid_log_init(&log, 150, 0, 2 * S);
    aid_log_set(&log, CH_WIND, 2.0);
    log.flag[CH_WIND][3] = FLAG_MISSING;         /* not watched */
    log.flag[CH_OUTLET][20] = FLAG_OUT_OF_RANGE; /* slot 1 */
    for (size_t i = 22; i < 25; i++)
        log.flag[CH_INLET][i] = FLAG_MISSING;    /* slot 1, too: the first one is named */
    aid_log_remove(&log, 43, 40);                /* rows 43 to 82: the rest of slot 2, slots 3, 4 */
    cut_slots(&log, &slots, &seen);
    assert_int_equal(slots.n_broken, 2);
    assert_int_equal(slots.n_empty, 1);
    assert_int_equal(slots.broken_by[CH_OUTLET][FLAG_OUT_OF_RANGE], 1);
    assert_int_equal(slots.broken_by[CH_INLET][FLAG_MISSING], 0);
    assert_false(seen.slot[0].broken);
    assert_int_equal(seen.slot[0].count[CH_WIND], 14);
    assert_true(seen.slot[1].broken);
    assert_int_equal(seen.slot[1].broken_channel, CH_OUTLET);
    assert_int_equal(seen.slot[1].broken_flag, FLAG_OUT_OF_RANGE);
    assert_int_equal(seen.slot[2].readings, 13);
    assert_true(seen.slot[3].broken); /* both empty slots as one piece */
    assert_int_equal(seen.slot[3].broken_channel, CH_COUNT);
    assert_true(seen.slot[3].start_us == 90 * S && seen.slot[3].end_us == 150 * S);
    assert_true(seen.slot[4].start_us == 150 * S);
    assert_int_equal(seen.slot[4].readings, 7);
    slots_free(&slots);
    aid_log_free(&log);
}

/* A lost row takes all its readings with it; one in four is the most that a slot stands. */
static void a_slot_stands_lost_rows(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        int64_t step_us;
        size_t lost;
        bool pulses;
        bool broken;
    } rows[] = {
        {"none of 15", 2 * S, 0, false, false},
        {"one of 15", 2 * S, 1, false, false},
        {"three of 15", 2 * S, 3, false, false},
        {"four of 15", 2 * S, 4, false, true},
        {"one of 15, by pulses", 2 * S, 1, true, true},
        {"one of 4", 15 * S / 2, 1, false, false},
        {"two of 4", 15 * S / 2, 2, false, true},
        {"one of 3", 10 * S, 1, false, true},
        {"one of one", 30 * S, 1, false, true},
    };
    for (size_t k = 0; k < sizeof rows / sizeof rows[0]; k++) {
        struct aid_log log;
        struct slots slots;
        struct seen seen;
        size_t n = (size_t)(30 * S / rows[k].step_us);
        aid_log_init(&log, 3 * n, 0, rows[k].step_us);
        for (size_t i = 0; i < log.n; i++) {
            log.value[CH_OUTLET][i] = 41.9;
            log.value[CH_INLET][i] = i == n ? 900.0 : 38.25;
        }
        for (size_t i = n; i < n + rows[k].lost; i++) /* the outlet alone: the inlet goes with it */
            log.flag[CH_OUTLET][i] = i == n ? FLAG_SPIKE : FLAG_MISSING;
        cut_slots_of(&log, rows[k].pulses, &slots, &seen);
        const struct slot *slot = &seen.slot[1];
        if (seen.n != 3 || slot->broken != rows[k].broken || slot->lost != rows[k].lost ||
            slot->readings != n - rows[k].lost)
            fail_msg("%s: broken %d, %zu lost", rows[k].name, slot->broken, slot->lost);
        size_t standing = rows[k].lost > 0 && !rows[k].broken;
        assert_int_equal(slots.n_standing, standing);
        assert_int_equal(slots.n_broken, rows[k].broken);
        assert_int_equal(slot->count[CH_INLET], n - rows[k].lost);
        if (rows[k].lost > 0) {
            near(rows[k].name, slot->sum[CH_INLET], 38.25 * (double)(n - rows[k].lost), 1e-9);
            assert_int_equal(slot->broken_channel, CH_OUTLET);
            assert_int_equal(slot->broken_flag, FLAG_SPIKE);
        }
        slots_free(&slots);
        aid_log_free(&log);
    }
}

/* A logger of one minute whose stamps jitter by 4 s: each reading is a slot, none is empty. */
static void slow_readings_are_slots_themselves(void **state)
{
    (void)state;
    struct aid_log log;
    struct slots slots;
    struct seen seen;
    uint32_t seed = 77;
    aid_log_init(&log, 60, 0, 60 * S);
    for (size_t i = 0; i < log.n; i++)
        log.time_us[i] += (int64_t)(aid_uniform(&seed) * 4e6);
    aid_log_remove(&log, 31, 2);
    cut_slots(&log, &slots, &seen);
    assert_true(slots.each_reading);
    assert_true(llabs(seen.slot_us - 60 * S) < 2 * S);
    assert_int_equal(seen.n, 59);
    assert_int_equal(slots.n_broken, 1); /* where two rows were lost */
    assert_true(seen.slot[31].broken);
    for (size_t k = 1; k < seen.n; k++) {
        assert_true(seen.slot[k].start_us == seen.slot[k - 1].end_us);
        assert_int_equal(seen.slot[k].readings, k == 31 ? 0 : 1);
    }
    slots_free(&slots);
    aid_log_free(&log);
}

/* Steps that a log takes one after the other, n rows of each, a gap before the third if asked for;
 * what the slots are from each row on, by hand. */
static void slots_follow_the_step(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        int64_t step_s[3];
        size_t n[3];
        bool gap;
        int64_t slot_s[3]; /* in the end of each part, to which its last slot bears witness */
        size_t laid, broken;
    } rows[] = {
        {"one step", {20, 20, 20}, {30, 30, 30}, false, {30, 30, 30}, 0, 0},
        /* Ten rows pass until it is seen: of slots of 30 s every fourth is empty (650, 770, 890 s);
         * of rows every 60 s each second one, the last of them left to the new slots. */
        {"slower", {20, 40, 40}, {30, 30, 30}, false, {30, 40, 40}, 1, 3},
        {"slower by little", {26, 31, 31}, {60, 30, 20}, false, {30, 31, 31}, 1, 0},
        {"faster", {60, 20, 20}, {80, 30, 30}, false, {60, 60, 60}, 0, 0},
        {"faster behind a gap", {60, 60, 20}, {30, 30, 30}, true, {60, 60, 30}, 0, 0},
        {"slower and back", {20, 60, 20}, {30, 30, 30}, false, {30, 60, 60}, 1, 9},
        {"slower and back behind a gap", {20, 60, 20}, {30, 30, 30}, true, {30, 60, 30}, 1, 9},
        {"nine rows are no step", {20, 40, 20}, {30, 9, 60}, false, {30, 30, 30}, 0, 3},
        {"a tenth more is jitter", {60, 66, 60}, {30, 30, 30}, false, {60, 66, 60}, 0, 0},
    };
    for (size_t k = 0; k < sizeof rows / sizeof rows[0]; k++) {
        struct aid_log log;
        struct slots slots;
        struct seen seen;
        aid_log_init(&log, rows[k].n[0] + rows[k].n[1] + rows[k].n[2], 0, 0);
        int64_t at_us = 0, end_us[3];
        for (size_t part = 0, i = 0; part < 3; part++)
            for (size_t j = 0; j < rows[k].n[part]; j++, i++) {
                log.time_us[i] = at_us += rows[k].step_s[part] * S;
                log.gap[i] = rows[k].gap && part == 2 && j == 0;
                end_us[part] = at_us;
            }
        static const size_t most_rows[] = {1, 13, 200, 200};
        for (size_t cut = 0; cut < sizeof most_rows / sizeof most_rows[0]; cut++) {
            cut_slots_in(&log, cut == 3, most_rows[cut], &slots, &seen);
            size_t broken = 0;
            for (size_t i = 0, part = 0; i < seen.n; i++) {
                const struct slot *slot = &seen.slot[i];
                broken += slot->broken;
                assert_true(slot->broken == (slot->readings == 0));
                if (slot->end_us < end_us[part] - 60 * S)
                    continue;
                if (slot->end_us - slot->start_us != rows[k].slot_s[part] * S && !slot->broken)
                    fail_msg("%s, part %zu: a slot of %d s", rows[k].name, part,
                             (int)((slot->end_us - slot->start_us) / S));
                part += part < 2;
            }
            if (slots.laid.n != rows[k].laid || broken != rows[k].broken)
                fail_msg("%s: laid anew %zu times, %zu broken", rows[k].name, slots.laid.n, broken);
            slots_free(&slots);
        }
        aid_log_free(&log);
    }
}

/* Two windows of 300 readings out of 1000, with noise of 0.25 and a step between them that is none.
 */
static void noise_is_pooled_over_windows(void **state)
{
    (void)state;
    struct window_noise noise;
    uint32_t seed = 4;
    window_noise_init(&noise);
    for (size_t i = 0; i < 1000; i++) {
        double value[CH_COUNT];
        for (int c = 0; c < CH_COUNT; c++)
            value[c] = NAN;
        value[CH_INLET] = (i < 500 ? 20.0 : 60.0) + 0.25 * aid_normal(&seed);
        value[CH_FLOW] = 5.0;
        assert_true(window_noise_reading(&noise, value, faults));
        double mean[CH_COUNT] = {[CH_INLET] = i < 500 ? 20.0 : 60.0, [CH_FLOW] = 5.0};
        mean[CH_OUTLET] = NAN;
        if (i == 399 || i == 899)
            assert_true(window_noise_window(&noise, i - 299, mean, faults));
        if (i == 399)
            window_noise_forget(&noise, 350);
    }
    struct channel_noise inlet = window_noise_result(&noise, CH_INLET);
    assert_true(inlet.known);
    near("inlet", inlet.s, 0.25, 0.04); /* 600 readings: about 3 to 5 % */
    near("flow", window_noise_result(&noise, CH_FLOW).s, 0.0, 1e-12);
    assert_false(window_noise_result(&noise, CH_OUTLET).known);
    near("nothing fed", window_noise_result(&noise, CH_OUTLET).s, 0.0, 0.0);
    struct channel_noise white = {.known = true, .s = 0.3, .plateau = true};
    near("mean of 36", channel_noise_of_mean(&white, 36.0), 0.05, 1e-12);
    window_noise_free(&noise);
    window_noise_free(&noise);
}

/* Windows of 5 readings hold too few differences: the scatter in them is used instead. */
static void few_readings_fall_back_on_scatter(void **state)
{
    (void)state;
    static const double readings[] = {20.3, 20.1, 20.6, 19.9, 20.1}; /* mean 20.2, sum sq 0.28 */
    struct window_noise noise;
    window_noise_init(&noise);
    for (size_t i = 0; i < 5; i++) {
        double value[CH_COUNT] = {[CH_INLET] = readings[i]};
        assert_true(window_noise_reading(&noise, value, faults));
    }
    double mean[CH_COUNT] = {[CH_INLET] = 20.2};
    assert_true(window_noise_window(&noise, 0, mean, faults));
    struct channel_noise inlet = window_noise_result(&noise, CH_INLET);
    assert_false(inlet.known);
    near("scatter", inlet.s, sqrt(0.28 / 4.0), 1e-12);
    window_noise_free(&noise);
}

/* More readings in a window than are held: the last ones count. */
static void the_ring_stays_within_its_limit(void **state)
{
    (void)state;
    struct window_noise noise;
    double value[CH_COUNT] = {0};
    window_noise_init(&noise);
    for (size_t i = 0; i < WINDOW_NOISE_ROWS + 5000; i++) {
        value[CH_INLET] = i % 2 == 0 ? 1.0 : -1.0;
        assert_true(window_noise_reading(&noise, value, faults));
    }
    assert_int_equal(noise.capacity, WINDOW_NOISE_ROWS);
    double mean[CH_COUNT] = {0};
    assert_true(window_noise_window(&noise, 0, mean, faults));
    near("readings", noise.freedom[CH_INLET], WINDOW_NOISE_ROWS - 1.0, 1.0);
    window_noise_free(&noise);
}

/* Spans of a block that is used again afterwards, cut anywhere, leave what single readings do. */
static void spans_leave_the_same_noise(void **state)
{
    enum { ROWS = 9000, BLOCK = 700, WINDOW = 450 };
    (void)state;
    struct window_noise single, spans;
    double block[3][BLOCK], mean[CH_COUNT];
    uint32_t seed = 9;
    window_noise_init(&single);
    window_noise_init(&spans);
    spans.limit = single.limit = 2048;
    for (int c = 0; c < CH_COUNT; c++)
        mean[c] = NAN;
    mean[CH_INLET] = 20;
    mean[CH_FLOW] = 5;
    mean[CH_WIND] = 3;
    for (size_t first = 0; first < ROWS; first += BLOCK) {
        bool windless = first / BLOCK % 5 == 3;
        for (size_t i = 0; i < BLOCK; i++) {
            double value[CH_COUNT];
            for (int c = 0; c < CH_COUNT; c++)
                value[c] = NAN;
            value[CH_INLET] = block[0][i] = 20 + 0.25 * aid_normal(&seed);
            value[CH_FLOW] = block[1][i] = 5 + 0.1 * aid_normal(&seed);
            block[2][i] = 3 + aid_normal(&seed);
            if (!windless)
                value[CH_WIND] = block[2][i];
            assert_true(window_noise_reading(&single, value, faults));
            if (i % 90 == 89)
                window_noise_forget(&single, first + i - 60);
            if (i == 633 && first / BLOCK % 3 == 1)
                assert_true(window_noise_window(&single, first + i - WINDOW, mean, faults));
        }
        const double *value[CH_COUNT] = {[CH_INLET] = block[0], [CH_FLOW] = block[1]};
        value[CH_WIND] = windless ? NULL : block[2];
        for (size_t i = 0, next; i < BLOCK; i = next) {
            next = i - i % 90 + 90 < BLOCK ? i - i % 90 + 90 : BLOCK;
            next = i < 634 && next > 634 ? 634 : next;
            assert_true(window_noise_span(&spans, value, i, next - i, faults));
            if (next % 90 == 0)
                window_noise_forget(&spans, first + next - 61);
            if (next == 634 && first / BLOCK % 3 == 1)
                assert_true(window_noise_window(&spans, first + 633 - WINDOW, mean, faults));
        }
        assert_true(window_noise_keep(&spans, faults));
        memset(block, 0, sizeof block);
    }
    for (int c = 0; c < CH_COUNT; c++) {
        struct channel_noise a = window_noise_result(&single, (enum channel)c);
        struct channel_noise b = window_noise_result(&spans, (enum channel)c);
        assert_true(a.s == b.s && a.phi == b.phi && a.known == b.known);
        assert_true((a.s > 0) == (c == CH_INLET || c == CH_FLOW || c == CH_WIND));
    }
    window_noise_free(&single);
    window_noise_free(&spans);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(spans_leave_the_same_noise, set_up, tear_down),
        cmocka_unit_test_setup_teardown(delay_gives_the_value_of_then, set_up, tear_down),
        cmocka_unit_test_setup_teardown(delay_knows_what_it_cannot_know, set_up, tear_down),
        cmocka_unit_test_setup_teardown(slots_count_from_each_segment, set_up, tear_down),
        cmocka_unit_test_setup_teardown(the_last_slot_must_be_full, set_up, tear_down),
        cmocka_unit_test_setup_teardown(slots_break_at_bad_or_no_readings, set_up, tear_down),
        cmocka_unit_test_setup_teardown(a_slot_stands_lost_rows, set_up, tear_down),
        cmocka_unit_test_setup_teardown(slow_readings_are_slots_themselves, set_up, tear_down),
        cmocka_unit_test_setup_teardown(slots_follow_the_step, set_up, tear_down),
        cmocka_unit_test_setup_teardown(noise_is_pooled_over_windows, set_up, tear_down),
        cmocka_unit_test_setup_teardown(few_readings_fall_back_on_scatter, set_up, tear_down),
        cmocka_unit_test_setup_teardown(the_ring_stays_within_its_limit, set_up, tear_down),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
