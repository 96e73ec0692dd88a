/* Logs across the changes of a clock: the truth is known, since the stamps are made from it. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/calendar.h"
#include "base/text.h"
#include "tests/unit/aid_ingest.h"

#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* 2026-10-25T01:00Z: 03:00 becomes 02:00. 2026-03-29T01:00Z: 02:00 becomes 03:00. */
#define BACK_S INT64_C(1792890000)
#define FORWARD_S INT64_C(1774746000)
#define MIN 60
#define H (60 * MIN)

static struct zone_change changes[] = {{FORWARD_S, 2 * H}, {BACK_S, H}};
static const struct zone made = {.name = "Made/Zone", .offset_s = H, .changes = changes, .n = 2};

/* Rows from start to end (not included), both from a change; the stamps by the zone, or by an
 * offset. */
struct stretch {
    int start_s;
    int end_s;
    int step_s; /* 0: none */
    bool fixed;
    int offset_s;
};

enum { STRETCHES = 3 };

struct log_row {
    const char *name;
    int64_t change_s;
    struct stretch stretch[STRETCHES];
    size_t file_of[STRETCHES];
    size_t rows_used;
    uint64_t falls;
    const char *said; /* kind and text of the only fault; NULL: none */
};

static struct faults faults;
static struct kept kept;
static int64_t truth_s[KEPT_ROWS_MAX];

/* Writes the stretches of one file. Returns: rows in all so far. */
static size_t write_file(const char *folder, const struct log_row *row, size_t file, size_t n)
{
    struct text text = {0};
    char name[40];
    char path[300];
    text_add(&text, "Time,G tilt,T air,T in,T out,Flow\n");
    for (size_t i = 0; i < STRETCHES; i++) {
        const struct stretch *s = &row->stretch[i];
        for (int t = s->start_s; row->file_of[i] == file && s->step_s > 0 && t < s->end_s;
             t += s->step_s) {
            char stamp[40];
            truth_s[n] = row->change_s + t;
            calendar_plain(truth_s[n] * US_PER_S,
                           s->fixed ? s->offset_s : zone_offset_s(&made, truth_s[n] * US_PER_S),
                           stamp, sizeof stamp);
            text_addf(&text, "%s,%zu,20.%zu,30.5,33.%zu,2.4\n", stamp, n % 900, n % 7, n % 9);
            n++;
        }
    }
    snprintf(name, sizeof name, "log%zu.csv", file);
    aid_write(folder, name, text_string(&text), text.length, path);
    text_free(&text);
    return n;
}

static void check(const struct log_row *row)
{
    struct log_plan plan;
    struct log_account account;
    char *folder = aid_folder();
    char path[300];
    size_t n = 0;
    size_t files = row->file_of[1] + 1;
    for (size_t file = 0; file < files; file++)
        n = write_file(folder, row, file, n);
    snprintf(path, sizeof path, "%s/log0.csv", folder);
    aid_plan(&plan, path);
    faults_init(&faults);
    snprintf(path, sizeof path, "%s/log1.csv", folder);
    if (files > 1)
        assert_true(log_plan_add_file(&plan, path, &faults));
    plan.zone = &made;
    struct sink sink = aid_sink(&kept);
    bool good = log_read(&plan, &sink, 1, &account, &faults);
    char said[2 * FAULT_TEXT_SIZE] = "";
    if (faults.n > 0)
        snprintf(said, sizeof said, "%s %ld: %s",
                 faults.items[0].kind == FAULT_INPUT ? "input" : "warning", faults.items[0].line,
                 faults.items[0].found);
    /* The folder's name is the machine's. */
    for (char *at = strstr(said, folder); at != NULL; at = strstr(said, folder))
        memmove(at, at + strlen(folder) + 1, strlen(at + strlen(folder) + 1) + 1);
    if (strcmp(said, row->said == NULL ? "" : row->said) != 0 || faults.n > 1)
        fail_msg("%s: %zu faults: %s", row->name, faults.n, said);
    assert_int_equal(good, faults_status(&faults) == 0);
    if (kept.n != row->rows_used || account.falls != row->falls)
        fail_msg("%s: %zu rows used, %d falls", row->name, kept.n, (int)account.falls);
    for (size_t i = 0; good && row->rows_used == n && i < n; i++)
        if (kept.time_us[i] != truth_s[i] * US_PER_S)
            fail_msg("%s: row %zu is %lld s off", row->name, i,
                     (long long)(kept.time_us[i] / US_PER_S - truth_s[i]));
    log_account_free(&account);
    log_plan_free(&plan);
    aid_remove(folder);
    free(folder);
}

static void the_repeated_hour_is_told_by_order_or_refused(void **state)
{
    static const struct log_row rows[] = {
        {"a minute, through both", BACK_S, {{-3 * H, 3 * H, MIN, false, 0}}, {0}, 360, 1, NULL},
        {"seven seconds", BACK_S, {{-3 * H, 3 * H, 7, false, 0}}, {0}, 3086, 1, NULL},
        {"off the minute", BACK_S, {{-3 * H - 13, 3 * H, 10, false, 0}}, {0}, 2162, 1, NULL},
        {"every half hour", BACK_S, {{-6 * H, 6 * H, 30 * MIN, false, 0}}, {0}, 24, 1, NULL},
        {"begins in the first pass", BACK_S, {{-37 * MIN, 3 * H, MIN, false, 0}}, {0}, 217, 1,
         NULL},
        {"ends in the second pass", BACK_S, {{-3 * H, 37 * MIN, MIN, false, 0}}, {0}, 217, 1, NULL},
        {"ends in the first pass", BACK_S, {{-3 * H, -37 * MIN, MIN, false, 0}}, {0}, 143, 0, NULL},
        {"two files, cut in the first pass", BACK_S,
         {{-3 * H, -20 * MIN, MIN, false, 0}, {-20 * MIN, 2 * H, MIN, false, 0}}, {0, 1}, 300, 1,
         NULL},
        {"two files, cut at the change", BACK_S,
         {{-3 * H, 0, MIN, false, 0}, {0, 2 * H, MIN, false, 0}}, {0, 1}, 300, 1, NULL},
        {"two files, cut in the second pass", BACK_S,
         {{-3 * H, 20 * MIN, MIN, false, 0}, {20 * MIN, 2 * H, MIN, false, 0}}, {0, 1}, 300, 1,
         NULL},
        {"off from the first pass to the morning", BACK_S,
         {{-3 * H, -20 * MIN, MIN, false, 0}, {6 * H, 8 * H, MIN, false, 0}}, {0}, 280, 0, NULL},
        {"off at night", BACK_S,
         {{-6 * H, -4 * H, MIN, false, 0}, {6 * H, 8 * H, MIN, false, 0}}, {0}, 240, 0, NULL},
        {"never put back", BACK_S, {{-3 * H, 3 * H, MIN, true, 2 * H}}, {0}, 360, 0,
         "input 182: the stamps run past the hour that the clock of 'Made/Zone' shows twice (it "
         "begins at log0.csv:122) without falling back"},
        {"never put forward, half a year ago", BACK_S, {{-3 * H, 3 * H, MIN, true, H}}, {0}, 360, 0,
         "input 242: the stamps run past the hour that the clock of 'Made/Zone' shows twice (it "
         "begins at log0.csv:182) without falling back"},
        {"begins in the second pass", BACK_S, {{20 * MIN, 3 * H, MIN, false, 0}}, {0}, 160, 0,
         "input 2: the clock of 'Made/Zone' shows this hour twice, and the rows up to "
         "log0.csv:42 do not tell which is meant"},
        {"all in one pass", BACK_S, {{20 * MIN, 50 * MIN, MIN, false, 0}}, {0}, 30, 0,
         "input 2: the clock of 'Made/Zone' shows this hour twice, and the rows up to "
         "log0.csv:31 do not tell which is meant"},
        {"comes back in the second pass", BACK_S,
         {{-3 * H, -2 * H, MIN, false, 0}, {20 * MIN, 2 * H, MIN, false, 0}}, {0}, 160, 0,
         "input 62: the clock of 'Made/Zone' shows this hour twice, and the rows up to "
         "log0.csv:102 do not tell which is meant"},
        {"a stray stamp in the first pass", BACK_S,
         {{-3 * H, -30 * MIN, 10, false, 0}, {-31 * MIN, -31 * MIN + 1, 1, false, 0},
          {-30 * MIN, 2 * H, 10, false, 0}},
         {0}, 1800, 1,
         "warning 902: time runs backwards: 2026-10-25T02:29:00+02:00 after "
         "2026-10-25T02:29:50+02:00 of log0.csv:901 (1 of 1,801 rows)"},
        {"a stamp twice in the first pass", BACK_S,
         {{-3 * H, -30 * MIN, 10, false, 0}, {-30 * MIN - 10, -30 * MIN - 9, 1, false, 0},
          {-30 * MIN, 2 * H, 10, false, 0}},
         {0}, 1800, 1,
         "warning 902: stamp '2026-10-25 02:29:50' is that of the row before (1 of 1,801 rows)"},
        {"a stamp twice in the second pass", BACK_S,
         {{-3 * H, 30 * MIN, 10, false, 0}, {30 * MIN - 10, 30 * MIN - 9, 1, false, 0},
          {30 * MIN, 2 * H, 10, false, 0}},
         {0}, 1800, 1,
         "warning 1262: stamp '2026-10-25 02:29:50' is that of the row before (1 of 1,801 rows)"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        check(&rows[i]);
}

static void the_skipped_hour_is_refused(void **state)
{
    static const struct log_row rows[] = {
        {"put forward", FORWARD_S, {{-3 * H, 3 * H, 10, false, 0}}, {0}, 2160, 0, NULL},
        {"off at night", FORWARD_S,
         {{-6 * H, -4 * H, MIN, false, 0}, {6 * H, 8 * H, MIN, false, 0}}, {0}, 240, 0, NULL},
        {"never put forward", FORWARD_S, {{-3 * H, 3 * H, 10, true, H}}, {0}, 1800, 0,
         "input 1082: stamp '2026-03-29 02:00:00' is in the hour that the clock of 'Made/Zone' "
         "skips, after log0.csv:1081 (360 of 2,160 rows; this is the first)"},
        {"one row of many", FORWARD_S,
         {{-3 * H, 0, 10, false, 0}, {0, 1, 1, true, H}, {10, 3 * H, 10, false, 0}}, {0}, 2159, 0,
         "input 1082: stamp '2026-03-29 02:00:00' is in the hour that the clock of 'Made/Zone' "
         "skips, after log0.csv:1081 (1 of 2,160 rows)"},
        {"begins there", FORWARD_S, {{20 * MIN, 3 * H, 10, true, H}}, {0}, 720, 0,
         "input 2: stamp '2026-03-29 02:20:00' is in the hour that the clock of 'Made/Zone' skips "
         "(240 of 960 rows; this is the first)"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        check(&rows[i]);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_repeated_hour_is_told_by_order_or_refused),
        cmocka_unit_test(the_skipped_hour_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
