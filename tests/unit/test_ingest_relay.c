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
    int64_t judged, used, odd;
    int64_t seen[2 * LOTS];
    bool ends[2 * LOTS];
    int64_t judge_stops, use_stops; /* at this lot; -1: never */
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

/* Returns: how many lots were taken of the reader before it was told to stop */
static int64_t run(struct way *way, bool threaded)
{
    static relay_take *const takes[] = {[RELAY_JUDGE] = judge, [RELAY_USE] = use};
    struct screen_rows rows;
    int64_t lot = 0;
    faults_init(&faults);
    assert_true(screen_rows_init(&rows, &plan));
    assert_true(relay_begin(&way->relay, &plan, takes, way, threaded, &faults));
    bool goes_on = true;
    for (; goes_on && lot < LOTS; lot++) {
        rows.block.n = 1;
        rows.times_us[0] = lot;
        goes_on = relay_pass(&way->relay, RELAY_JUDGE, &rows, lot % 7 == 0);
    }
    screen_rows_free(&rows);
    return lot;
}

static void lots_go_through_in_order(void **state)
{
    static struct way way;
    (void)state;
    for (int threaded = 0; threaded < 2; threaded++) {
        memset(&way, 0, sizeof way);
        way.judge_stops = way.use_stops = -1;
        assert_int_equal(run(&way, threaded > 0), LOTS);
        assert_true(relay_end(&way.relay, &faults));
        assert_true(relay_end(&way.relay, &faults));
        assert_false(faults_any(&faults));
        int64_t n = 0;
        for (int64_t lot = 0; lot < LOTS; lot++)
            for (int times = lot % 5 == 4 ? 0 : lot % 3 == 2 ? 2 : 1; times > 0; times--) {
                assert_int_equal(way.seen[n], lot);
                assert_int_equal(way.ends[n++], lot % 7 == 0);
            }
        assert_int_equal(way.used, n);
        assert_int_equal(way.odd, 0);
    }
}

/* Whoever stops it, nothing is used behind the lot that stopped, and what was said is kept. */
static void a_station_stops_the_reading(void **state)
{
    static const struct {
        const char *name, *said;
        int64_t judge_stops, use_stops, used;
    } cases[] = {
        {"the judge, at once", "judge stops", 0, -1, 0},
        {"the judge, later", "judge stops", 232, -1, -1},
        {"the user, at once", "use stops", -1, 0, 1},
        {"the user, at a lot that comes twice", "use stops", -1, 2, 3},
        {"the user, at the last lot but one", "use stops", -1, LOTS - 2, -1},
    };
    static struct way way;
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++)
        for (int threaded = 0; threaded < 2; threaded++) {
            memset(&way, 0, sizeof way);
            way.judge_stops = cases[i].judge_stops;
            way.use_stops = cases[i].use_stops;
            int64_t taken = run(&way, threaded > 0);
            if (relay_end(&way.relay, &faults))
                fail_msg("%s: was not stopped", cases[i].name);
            int64_t stop = way.use_stops >= 0 ? way.use_stops : way.judge_stops;
            if (!threaded && taken != stop + 1)
                fail_msg("%s: %lld lots were taken", cases[i].name, (long long)taken);
            if (faults.n != 1 || strcmp(faults.items[0].found, cases[i].said) != 0)
                fail_msg("%s: said otherwise", cases[i].name);
            if (cases[i].used >= 0 && way.used != cases[i].used)
                fail_msg("%s: %lld lots were used", cases[i].name, (long long)way.used);
            if (way.used > 0 && way.seen[way.used - 1] > stop)
                fail_msg("%s: lot %lld was used", cases[i].name,
                         (long long)way.seen[way.used - 1]);
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
