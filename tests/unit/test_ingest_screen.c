/* Readings that can be but cannot be believed: the screen by blocks against the plain one over
 * whole segments, and each flag by itself. The limits are our own (ingest/screen_limits.c). */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "ingest/error_codes.h"
#include "ingest/screen.h"
#include "tests/unit/aid_log.h"
#include "tests/unit/aid_screen.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { ROWS = 11000, SEGMENTS_MOST = 8 };
#define S INT64_C(1000000)

struct series {
    size_t n;
    int64_t time_us[ROWS];
    bool gap[ROWS]; /* a segment begins */
    double value[ROWS];
    uint8_t flag[ROWS];
};

static struct faults faults;
static struct series given, plain, by_blocks;

/* A plan of one column. */
static void make_plan(struct log_plan *plan, enum channel channel, const char *unit,
                      struct log_screening screening)
{
    faults_init(&faults);
    log_plan_init(plan);
    assert_true(log_plan_add_column(
        plan, channel, "x", unit_find(unit, channel_row(channel)->dimension), 1.0, 0.0, &faults));
    log_plan_screen_column(plan, screening);
}

static void keep(struct screen *screen, struct log_account *account, enum channel channel,
                 struct series *out)
{
    const struct block *block = &screen->held.block;
    if (block->n == 0)
        return;
    bool all_good = true;
    for (size_t i = 0; i < block->n; i++)
        all_good = all_good && block->flag[channel][i] == FLAG_GOOD;
    assert_true(all_good || screen->held.marked[0]);
    log_account_count(account, block, &channel, 1);
    memcpy(out->value + out->n, block->value[channel], block->n * sizeof(double));
    memcpy(out->flag + out->n, block->flag[channel], block->n);
    out->n += block->n;
}

/* As the reader does it. */
static void flush(struct screen *screen, struct log_account *account, enum channel channel,
                  bool segment_ends, struct series *out)
{
    if (screen->fresh.block.n > 0) {
        screen_judge(screen);
        keep(screen, account, channel, out);
        screen_hold(screen);
    }
    if (!segment_ends)
        return;
    screen_settle(screen);
    keep(screen, account, channel, out);
    screen_restart(screen);
}

/* In: steps  known before the first row; NULL: none. Out: still  n 0: there is none */
static void screen_known(const struct log_plan *plan, const struct series *in,
                         const struct steps *steps, struct series *out, struct log_still *still)
{
    static struct screen screen;
    static struct log_account account;
    enum channel channel = plan->columns[0].channel;
    log_account_init(&account);
    assert_true(screen_init(&screen, plan, &account, &faults));
    if (steps != NULL)
        screen_know_steps(&screen, steps);
    out->n = 0;
    for (size_t i = 0; i < in->n; i++) {
        struct block *block = &screen.fresh.block;
        if (i > 0 && (in->gap[i] || block->n == BLOCK_ROWS))
            flush(&screen, &account, channel, in->gap[i], out);
        block->time_us[block->n] = in->time_us[i];
        block->value[channel][block->n] = in->value[i];
        block->flag[channel][block->n] = in->flag[i];
        screen.fresh.marked[0] = screen.fresh.marked[0] || in->flag[i] != FLAG_GOOD;
        screen.fresh.place[block->n++] = (struct row_place){0, (uint32_t)i + 2};
    }
    flush(&screen, &account, channel, true, out);
    uint64_t counted = 0;
    for (int flag = 0; flag < FLAG_COUNT; flag++) {
        const struct screen_first *first = &screen.column[0].first[flag];
        counted += account.channels[channel].count[flag];
        if (flag < FLAG_ERROR_CODE)
            continue;
        assert_int_equal(first->any, account.channels[channel].count[flag] > 0);
        if (first->any)
            assert_int_equal(out->flag[first->place.line - 2], flag);
        for (size_t i = 0; first->any && i + 2 < first->place.line; i++)
            assert_int_not_equal(out->flag[i], flag);
    }
    assert_int_equal(counted, in->n);
    if (!screen_still(&screen, 0, still))
        still->n = 0;
    screen_free(&screen);
    screen_free(&screen);
    log_account_free(&account);
}

static void screen_blocks(const struct log_plan *plan, const struct series *in, struct series *out)
{
    struct log_still still;
    screen_known(plan, in, NULL, out, &still);
}

static void screen_plain(const struct log_plan *plan, struct series *s)
{
    double most = NAN;
    double step = INFINITY;
    for (size_t first = 0, end; first < s->n; first = end) {
        for (end = first + 1; end < s->n && !s->gap[end]; end++)
            ;
        aid_screen_segment(&plan->columns[0], s->time_us + first, end - first, most, &step,
                           s->value + first, s->flag + first);
        for (size_t i = first; i < end; i++)
            if (s->flag[i] == FLAG_GOOD && !(most >= s->value[i]))
                most = s->value[i];
    }
}

/* A wandering temperature or sunshine in steps, with whatever can go wrong, and gaps. */
static void draw(struct series *s, enum channel channel, double step, uint32_t seed)
{
    uint32_t random = seed;
    bool sun = channel == CH_IRRADIANCE;
    double base = sun ? 700.0 : 40.0;
    int64_t row_us = (int64_t)(1 + (seed % 4) * 7) * S;
    int64_t time_us = 0;
    memset(s, 0, sizeof *s);
    s->n = ROWS - (size_t)(aid_uniform(&random) * 5000);
    for (size_t i = 0; i < s->n;) {
        double kind = aid_uniform(&random);
        size_t n = 1;
        double value = base + aid_normal(&random) * (sun ? 30.0 : 0.3);
        if (kind < 0.004)
            n = (size_t)(aid_uniform(&random) * 2500);
        else if (kind < 0.01)
            value = base + (aid_uniform(&random) < 0.5 ? -20.0 : 20.0);
        else if (kind < 0.02) {
            value = 85.0;
            n = 1 + (size_t)(pow(aid_uniform(&random), 4) * 70);
        } else if (kind < 0.03)
            value = NAN;
        else if (kind < 0.032 && sun) {
            value = 1203.0;
            n = (size_t)(aid_uniform(&random) * 900);
        }
        value = round(value / step) * step;
        for (size_t k = 0; k < n && i < s->n; k++, i++) {
            s->gap[i] = i == 0 || aid_uniform(&random) < 0.0003;
            time_us += s->gap[i] ? 3600 * S : row_us;
            s->time_us[i] = time_us;
            s->value[i] = value;
            s->flag[i] = (uint8_t)(isnan(value) ? FLAG_MISSING : FLAG_GOOD);
        }
    }
}

static void blocks_find_what_the_whole_finds(void **state)
{
    static const struct {
        const char *name;
        enum channel channel;
        double step;
        struct log_screening screening;
        unsigned flags; /* bits that must turn up */
    } rows[] = {
        {"fine thermometer",
         CH_OUTLET,
         0.01,
         {0, 0.0, 0.0},
         1U << FLAG_SPIKE | 1U << FLAG_STUCK | 1U << FLAG_ERROR_CODE},
        {"coarse thermometer",
         CH_INLET,
         0.0625,
         {0, 0.0, 0.0},
         1U << FLAG_SPIKE | 1U << FLAG_ERROR_CODE},
        {"stated time",
         CH_INLET,
         0.0625,
         {240 * S, 0.0, 0.0},
         1U << FLAG_SPIKE | 1U << FLAG_STUCK | 1U << FLAG_ERROR_CODE},
        {"stated spike", CH_INLET, 0.1, {-1, 1.3, 0.0}, 1U << FLAG_SPIKE | 1U << FLAG_ERROR_CODE},
        {"no spike", CH_OUTLET, 0.01, {0, -1.0, 0.0}, 1U << FLAG_STUCK | 1U << FLAG_ERROR_CODE},
        {"stated resolution",
         CH_OUTLET,
         0.0625,
         {0, 0.0, 0.01},
         1U << FLAG_SPIKE | 1U << FLAG_STUCK | 1U << FLAG_ERROR_CODE},
        {"sunshine", CH_IRRADIANCE, 0.1, {0, 0.0, 0.0}, 1U << FLAG_STUCK | 1U << FLAG_SATURATED},
        {"coarse sunshine", CH_IRRADIANCE, 7.0, {0, 0.0, 0.0}, 0},
        {"sunshine, stated time", CH_IRRADIANCE, 7.0, {120 * S, 0.0, 0.0}, 1U << FLAG_STUCK},
    };
    (void)state;
    for (size_t r = 0; r < sizeof rows / sizeof rows[0]; r++) {
        struct log_plan plan;
        unsigned found = 0;
        make_plan(&plan, rows[r].channel,
                  channel_row(rows[r].channel)->dimension == DIM_TEMPERATURE ? "degC" : "W/m2",
                  rows[r].screening);
        for (uint32_t seed = 1; seed <= 60; seed++) {
            draw(&given, rows[r].channel, rows[r].step, seed * 7919);
            plain = given;
            screen_plain(&plan, &plain);
            screen_blocks(&plan, &given, &by_blocks);
            assert_int_equal(by_blocks.n, given.n);
            for (size_t i = 0; i < given.n; i++) {
                found |= 1U << by_blocks.flag[i];
                if (by_blocks.flag[i] != plain.flag[i])
                    fail_msg("%s, seed %u, row %zu of %zu (%g): %s, plainly %s", rows[r].name, seed,
                             i, given.n, given.value[i],
                             flag_word((enum reading_flag)by_blocks.flag[i]),
                             flag_word((enum reading_flag)plain.flag[i]));
                assert_true(isnan(by_blocks.value[i]) == (by_blocks.flag[i] != FLAG_GOOD));
                assert_true(isnan(by_blocks.value[i]) || by_blocks.value[i] == given.value[i]);
            }
        }
        unsigned expected = 1U << FLAG_GOOD | 1U << FLAG_MISSING | rows[r].flags;
        if (found != expected)
            fail_msg("%s: flags %#x found, %#x expected", rows[r].name, found, expected);
        log_plan_free(&plan);
    }
}

/* Rows 10 s apart that flicker by 0.01 K, but for what each row of the table puts in. */
static void each_flag_by_itself(void **state)
{
    static const struct {
        const char *name;
        size_t first, n; /* rows of `value` */
        double value;
        size_t gap; /* row that begins a segment; 0: none */
        enum reading_flag flag;
        size_t flagged; /* how many */
    } rows[] = {
        {"power-up value", 200, 2, 85.0, 0, FLAG_ERROR_CODE, 2},
        {"power-up value after a gap", 200, 3, 85.0, 200, FLAG_ERROR_CODE, 3},
        {"power-up value at a gap's beginning", 200, 3, 85.0, 203, FLAG_ERROR_CODE, 3},
        {"power-up value across blocks", 4090, 13, 85.0, 0, FLAG_ERROR_CODE, 13},
        {"power-up value to the end", 5995, 5, 85.0, 0, FLAG_ERROR_CODE, 5},
        {"85 for ten minutes", 200, 60, 85.0, 0, FLAG_GOOD, 0},
        {"spike", 200, 1, 47.2, 0, FLAG_SPIKE, 1},
        {"spike at a block's end", 4095, 1, 47.2, 0, FLAG_SPIKE, 1},
        {"spike at a block's beginning", 4096, 1, 25.1, 0, FLAG_SPIKE, 1},
        {"two high readings", 200, 2, 47.2, 0, FLAG_GOOD, 0},
        {"small spike", 200, 1, 41.4, 0, FLAG_GOOD, 0},
        {"spike before a gap", 200, 1, 47.2, 201, FLAG_GOOD, 0},
        {"stuck for half an hour", 200, 181, 39.97, 0, FLAG_STUCK, 181},
        {"stuck across blocks", 4000, 190, 39.97, 0, FLAG_STUCK, 190},
        {"stuck for less", 200, 179, 39.97, 0, FLAG_GOOD, 0},
        {"stuck from the beginning, its steps not known", 0, 300, 39.97, 0, FLAG_GOOD, 0},
        {"stuck to the end", 5700, 300, 39.97, 0, FLAG_STUCK, 300},
        {"stuck, a gap between", 200, 300, 39.97, 350, FLAG_GOOD, 0},
    };
    (void)state;
    for (size_t r = 0; r < sizeof rows / sizeof rows[0]; r++) {
        struct log_plan plan;
        size_t flagged = 0;
        make_plan(&plan, CH_OUTLET, "degC", (struct log_screening){0, 0.0, 0.0});
        memset(&given, 0, sizeof given);
        given.n = 6000;
        for (size_t i = 0; i < given.n; i++) {
            bool here = i >= rows[r].first && i < rows[r].first + rows[r].n;
            given.gap[i] = rows[r].gap > 0 && i == rows[r].gap;
            given.time_us[i] = (int64_t)i * 10 * S + (i >= rows[r].gap ? 7200 * S : 0);
            given.value[i] = here ? rows[r].value : 40.0 + 0.01 * (double)(i * i % 7);
        }
        screen_blocks(&plan, &given, &by_blocks);
        for (size_t i = 0; i < given.n; i++) {
            bool set = by_blocks.flag[i] != FLAG_GOOD;
            flagged += set;
            if (set && (by_blocks.flag[i] != rows[r].flag || i < rows[r].first ||
                        i >= rows[r].first + rows[r].n))
                fail_msg("%s: row %zu is %s", rows[r].name, i,
                         flag_word((enum reading_flag)by_blocks.flag[i]));
        }
        if (flagged != rows[r].flagged)
            fail_msg("%s: %zu rows set aside", rows[r].name, flagged);
        log_plan_free(&plan);
    }
}

/* Rows 10 s apart that stand still from `first` on, and flicker by `step` at all other times. */
static void make_still(enum channel channel, size_t first, size_t n, double value, double step)
{
    memset(&given, 0, sizeof given);
    given.n = 6000;
    for (size_t i = 0; i < given.n; i++) {
        bool here = i >= first && i < first + n;
        given.time_us[i] = (int64_t)i * 10 * S;
        given.value[i] = here ? value : (channel == CH_IRRADIANCE ? 905.0 : 40.0) +
                                            step * (double)(i * i % 7);
    }
}

/* What is stuck from the first row on is told by the steps of the first rows that were looked at;
 * where they did not show it either, it is told afterwards. */
static void stuck_from_the_beginning(void **state)
{
    static const struct {
        const char *name;
        enum channel channel;
        size_t first, n;
        double value, step;
        size_t known_rows; /* looked at before */
        enum reading_flag flag;
        size_t flagged, still;
    } rows[] = {
        {"outlet, its steps known", CH_OUTLET, 0, 330, 39.97, 0.01, 1000, FLAG_STUCK, 330, 0},
        {"outlet from the third row on", CH_OUTLET, 2, 330, 39.97, 0.01, 1000, FLAG_STUCK, 330, 0},
        {"not known before", CH_OUTLET, 0, 330, 39.97, 0.01, 0, FLAG_STUCK, 0, 330},
        {"longer than what was looked at", CH_OUTLET, 0, 1100, 39.97, 0.01, 1000, FLAG_STUCK, 0,
         1100},
        {"less than half an hour", CH_OUTLET, 0, 179, 39.97, 0.01, 0, FLAG_STUCK, 0, 0},
        {"coarse steps", CH_OUTLET, 0, 330, 39.97, 0.0625, 1000, FLAG_STUCK, 0, 0},
        {"coarse steps, not known before", CH_OUTLET, 0, 330, 39.97, 0.0625, 0, FLAG_STUCK, 0, 0},
        {"exactly 0 degC", CH_AMBIENT, 0, 330, 0.0, 0.01, 1000, FLAG_STUCK, 330, 0},
        {"no wind", CH_WIND, 0, 330, 0.0, 0.01, 1000, FLAG_STUCK, 0, 0},
        {"sun, higher later", CH_IRRADIANCE, 0, 330, 897.1, 0.1, 1000, FLAG_STUCK, 330, 0},
        {"sun for 15 min, higher later", CH_IRRADIANCE, 0, 91, 897.1, 0.1, 1000, FLAG_STUCK, 91, 0},
        {"sun, never higher", CH_IRRADIANCE, 0, 330, 911.3, 0.1, 1000, FLAG_SATURATED, 330, 0},
    };
    (void)state;
    for (size_t r = 0; r < sizeof rows / sizeof rows[0]; r++) {
        struct log_plan plan;
        struct steps steps;
        struct log_still still;
        size_t flagged = 0;
        enum dimension dimension = channel_row(rows[r].channel)->dimension;
        make_plan(&plan, rows[r].channel,
                  dimension == DIM_TEMPERATURE ? "degC"
                  : dimension == DIM_SPEED     ? "m/s"
                                               : "W/m2",
                  (struct log_screening){0, 0.0, 0.0});
        make_still(rows[r].channel, rows[r].first, rows[r].n, rows[r].value, rows[r].step);
        steps_init(&steps, &plan);
        for (size_t i = 0; i < rows[r].known_rows; i++)
            steps_row(&steps, &given.value[i]);
        screen_known(&plan, &given, &steps, &by_blocks, &still);
        for (size_t i = 0; i < given.n; i++)
            flagged += by_blocks.flag[i] == rows[r].flag;
        if (flagged != rows[r].flagged || still.n != rows[r].still)
            fail_msg("%s: %zu rows set aside, %zu told", rows[r].name, flagged, (size_t)still.n);
        if (still.n > 0) {
            assert_int_equal(still.first.line, rows[r].first + 2);
            assert_true(still.value_si == rows[r].value);
            assert_int_equal(still.lasted_us, (int64_t)(still.n - 1) * 10 * S);
        }
        log_plan_free(&plan);
    }
}

static void codes_are_known_by_number_unit_and_word(void **state)
{
    static const struct {
        double number;
        const char *unit;
        enum dimension dimension;
        bool known;
    } numbers[] = {
        {-9999.0, "W/m2", DIM_IRRADIANCE, true}, {7999.0, "L/min", DIM_VOLUME_FLOW, true},
        {-127.0, "degC", DIM_TEMPERATURE, true}, {-127.0, "degF", DIM_TEMPERATURE, false},
        {-196.6, "degF", DIM_TEMPERATURE, true}, {85.0, "degC", DIM_TEMPERATURE, true},
        {85.0, "W/m2", DIM_IRRADIANCE, false},   {85.1, "degC", DIM_TEMPERATURE, false},
        {-99.99, "m/s", DIM_SPEED, true},
    };
    static const struct {
        const char *text;
        bool known;
    } words[] = {{"#DIV/0!", true}, {"nan", true},     {"---", true}, {"ol", true},
                 {"Inf", true},     {"#value!", true}, {"Err", true}, {"clouds", false},
                 {"", false},       {"-----", false}};
    (void)state;
    for (size_t i = 0; i < sizeof numbers / sizeof numbers[0]; i++) {
        const struct unit *unit = unit_find(numbers[i].unit, numbers[i].dimension);
        if ((error_code_find(numbers[i].number, unit) != NULL) != numbers[i].known)
            fail_msg("%g %s", numbers[i].number, numbers[i].unit);
    }
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++)
        if (error_code_is_word(words[i].text, strlen(words[i].text)) != words[i].known)
            fail_msg("'%s'", words[i].text);
}

static void each_channel_has_its_limits(void **state)
{
    (void)state;
    for (int ch = 0; ch < CH_LOGGED; ch++) {
        const struct screen_limits *limits = screen_limits((enum channel)ch);
        if (limits->why == NULL || (limits->spike && !(limits->jump_si > 0.0)))
            fail_msg("%s", channel_row((enum channel)ch)->word);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(blocks_find_what_the_whole_finds),
        cmocka_unit_test(each_flag_by_itself),
        cmocka_unit_test(stuck_from_the_beginning),
        cmocka_unit_test(codes_are_known_by_number_unit_and_word),
        cmocka_unit_test(each_channel_has_its_limits),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
