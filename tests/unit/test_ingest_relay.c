/* Lots of rows on their way through the stations. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "ingest/relay.h"

#include <string.h>

enum { LOTS = 500 };

static struct faults faults;
static struct unit raw = {.name = "1", .scale = 1.0};
static struct log_column column = {.channel = CH_AMBIENT, .name = "T", .gain = 1.0, .unit = &raw};
static struct log_plan plan = {.columns = &column, .n_columns = 1};

/* A lot is known by its number, kept as the stamp of its only row. The judge passes every third lot
 * on twice and every fifth not at all. */
struct way {
    struct relay relay;
    struct screen_rows rows; /* of the reader */
    int64_t read, judged, used, odd;
    int64_t seen[2 * LOTS];
    bool ends[2 * LOTS];
    int64_t burst; /* so many lots are read before the reader asks whether it is due */
    int64_t read_fails, judge_stops, use_stops; /* at this lot; -1: never */
};

static bool pass(struct way *way, struct screen_rows *rows, int64_t lot, bool segment_ends)
{
    rows->block.n = 1;
    rows->times_us[0] = lot;
    return relay_pass(&way->relay, RELAY_USE, rows, segment_ends);
}

static bool say(struct faults *to, const char *who)
{
    struct fault *fault = fault_new(to, FAULT_INPUT, fault_at(NULL, 0, 0));
    fault_found(fault, "%s stops", who);
    return false;
}

static bool judge(void *state, struct screen_rows *rows, bool segment_ends, struct faults *to)
{
    struct way *way = state;
    int64_t lot = rows->times_us[0];
    way->odd += lot != way->judged++ || rows->block.n != 1; /* told later: this may be a thread */
    if (lot == way->judge_stops)
        return say(to, "judge");
    if (lot % 5 == 4)
        return true;
    return pass(way, rows, lot, segment_ends) &&
           (lot % 3 != 2 || pass(way, rows, lot, segment_ends));
}

static bool use(void *state, struct screen_rows *rows, bool segment_ends, struct faults *to)
{
    struct way *way = state;
    way->seen[way->used] = rows->times_us[0];
    way->ends[way->used++] = segment_ends;
    return rows->times_us[0] == way->use_stops ? say(to, "use") : true;
}

static bool read_on(void *state, bool *over)
{
    struct way *way = state;
    while (way->read < LOTS) {
        if (way->read == way->read_fails)
            return say(&faults, "reader");
        way->rows.block.n = 1;
        way->rows.times_us[0] = way->read;
        bool ends = way->read++ % 7 == 0;
        if (!relay_pass(&way->relay, RELAY_JUDGE, &way->rows, ends))
            return false;
        if (way->read % way->burst == 0 && relay_is_due(&way->relay))
            return true;
    }
    *over = true;
    return true;
}

static bool run(struct way *way, bool threaded)
{
    static relay_take *const takes[] = {[RELAY_JUDGE] = judge, [RELAY_USE] = use};
    faults_init(&faults);
    assert_true(screen_rows_init(&way->rows, &plan));
    relay_init(&way->relay, read_on, takes, way);
    bool good = relay_run(&way->relay, &plan, threaded, &faults);
    screen_rows_free(&way->rows);
    return good;
}

/* How many times the judge passes on lots 0 to n - 1. */
static int64_t passed_on(int64_t n)
{
    int64_t times = 0;
    for (int64_t lot = 0; lot < n; lot++)
        times += lot % 5 == 4 ? 0 : lot % 3 == 2 ? 2 : 1;
    return times;
}

static void lots_go_through_in_order(void **state)
{
    static const int64_t bursts[] = {1, 3, RELAY_LOTS, RELAY_LOTS + 1, 2 * RELAY_LOTS + 3, LOTS};
    static struct way way;
    (void)state;
    for (size_t i = 0; i < 2 * sizeof bursts / sizeof bursts[0]; i++) {
        memset(&way, 0, sizeof way);
        way.burst = bursts[i / 2];
        way.read_fails = way.judge_stops = way.use_stops = -1;
        assert_true(run(&way, i % 2 > 0));
        assert_false(faults_any(&faults));
        int64_t n = 0;
        for (int64_t lot = 0; lot < LOTS; lot++)
            for (int64_t times = passed_on(lot + 1) - passed_on(lot); times > 0; times--) {
                assert_int_equal(way.seen[n], lot);
                assert_int_equal(way.ends[n++], lot % 7 == 0);
            }
        assert_int_equal(way.used, n);
        assert_int_equal(way.odd, 0);
    }
}

/* Whoever stops it, all before that is used and nothing behind it, and what was said is kept. */
static void a_station_stops_the_reading(void **state)
{
    static const struct {
        const char *name, *said;
        int64_t read_fails, judge_stops, use_stops, used;
    } cases[] = {
        {"the reader, at once", "reader stops", 0, -1, -1, 0},
        {"the reader, later", "reader stops", 38, -1, -1, 41},
        {"the judge, at once", "judge stops", -1, 0, -1, 0},
        {"the judge, later", "judge stops", -1, 232, -1, 248},
        {"the user, at once", "use stops", -1, -1, 0, 1},
        {"the user, at a lot that comes twice", "use stops", -1, -1, 2, 3},
        {"the user, at the last lot but one", "use stops", -1, -1, LOTS - 2, 533},
    };
    static struct way way;
    (void)state;
    for (size_t i = 0; i < 4 * sizeof cases / sizeof cases[0]; i++) {
        bool threaded = i % 2 > 0;
        memset(&way, 0, sizeof way);
        way.burst = i / 2 % 2 > 0 ? 1 : 23;
        way.read_fails = cases[i / 4].read_fails;
        way.judge_stops = cases[i / 4].judge_stops;
        way.use_stops = cases[i / 4].use_stops;
        if (run(&way, threaded))
            fail_msg("%s: was not stopped", cases[i / 4].name);
        int64_t stop = way.use_stops >= 0 ? way.use_stops : way.judge_stops;
        if (!threaded && stop >= 0 && way.read != stop + 1)
            fail_msg("%s: %lld lots were read", cases[i / 4].name, (long long)way.read);
        if (faults.n != 1 || strcmp(faults.items[0].found, cases[i / 4].said) != 0)
            fail_msg("%s: said otherwise", cases[i / 4].name);
        if (way.used != cases[i / 4].used)
            fail_msg("%s: %lld lots were used", cases[i / 4].name, (long long)way.used);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lots_go_through_in_order),
        cmocka_unit_test(a_station_stops_the_reading),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
