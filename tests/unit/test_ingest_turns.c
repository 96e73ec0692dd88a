/* Files of one log whose rows lie between each other's: what is used, from which place, in which
 * order. Expected values were written down by hand from the texts of the files. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/text.h"
#include "tests/unit/aid_ingest.h"

#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { FILES_MAX = 4, USED_MAX = 32 };

static struct faults faults;
static char *folder;

/* What a sink saw: seconds of the minute, the first channel's reading, file and line. */
struct seen {
    size_t n;
    int seconds[USED_MAX];
    double g_W_m2[USED_MAX];
    struct row_place place[USED_MAX];
};

static bool see(void *state, const struct block *block, struct faults *out)
{
    struct seen *seen = state;
    (void)out;
    for (size_t i = 0; i < block->n; i++) {
        assert_true(seen->n < USED_MAX);
        seen->seconds[seen->n] = (int)(block->time_us[i] / 1000000 % 3600);
        seen->g_W_m2[seen->n] = block->value[CH_IRRADIANCE][i];
        seen->place[seen->n++] = block->place[i];
    }
    return true;
}

/* A file of rows "SECONDS:READING SECONDS:READING ..." of one hour; every row has the same other
 * readings. */
static void write_rows(struct log_plan *plan, size_t number, const char *rows)
{
    char path[300];
    snprintf(path, sizeof path, "%s/%c.csv", folder, (char)('a' + number));
    FILE *out = fopen(path, "wb");
    assert_non_null(out);
    fputs("Time,G tilt,T air,T in,T out,Flow\n", out);
    while (*rows != '\0') {
        char *end;
        long s = strtol(rows, &end, 10);
        assert_int_equal(*end, ':');
        rows = end + 1;
        size_t n = strcspn(rows, " ");
        fprintf(out, "2026-06-21T10:%02ld:%02ld,%.*s,21.37,40.12,47.93,2.385\n", s / 60, s % 60,
                (int)n, rows);
        rows += n + (rows[n] == ' ' ? 1 : 0);
    }
    assert_int_equal(fclose(out), 0);
    assert_true(log_plan_add_file(plan, path, &faults));
}

/* "a2 b2 a3": file and line of each row used. */
static void places_text(const struct seen *seen, const struct log_account *account,
                        struct text *out)
{
    for (size_t i = 0; i < seen->n; i++) {
        const char *path = account->files[seen->place[i].file].path;
        text_addf(out, "%s%c%u", i == 0 ? "" : " ", strrchr(path, '/')[1], seen->place[i].line);
    }
}

/* The sum of what became of the rows is the rows read, in all and by file. */
static void want_sums(const char *name, const struct log_account *account)
{
    uint64_t refused = 0, read = 0, used = 0;
    for (size_t i = 0; i < ROW_REFUSALS; i++)
        refused += account->refused[i];
    for (size_t i = 0; i < account->n_files; i++) {
        read += account->files[i].rows_read;
        used += account->files[i].rows_used;
    }
    if (account->rows_read != account->rows_used + refused || read != account->rows_read ||
        used != account->rows_used)
        fail_msg("%s: the sums do not meet", name);
}

struct row {
    const char *name;
    const char *files[FILES_MAX]; /* in the order of the plan */
    bool good;
    const char *places; /* of the rows used, in order; all of rising stamps */
    uint64_t overlap, duplicate, backward, differs, late, turns;
    const char
        *message; /* a part of what is said, without the folder; NULL: nothing of it matters */
};

static void clear_of_folder(char *text)
{
    size_t n = strlen(folder) + 1;
    for (char *at; (at = strstr(text, folder)) != NULL;)
        memmove(at, at + n, strlen(at + n) + 1);
}

static void want_message(const struct row *row)
{
    char *printed = NULL;
    size_t n = 0;
    FILE *out = open_memstream(&printed, &n);
    assert_non_null(out);
    faults_print(&faults, "test", out);
    fclose(out);
    clear_of_folder(printed);
    if (row->message != NULL && strstr(printed, row->message) == NULL)
        fail_msg("%s: said was\n%s", row->name, printed);
    free(printed);
}

static void want_row(const struct row *row)
{
    struct log_plan plan;
    struct log_account account;
    struct seen seen = {.n = 0};
    struct text places = {0};
    struct sink sink = {.state = &seen, .take = see};
    faults_init(&faults);
    aid_plan(&plan, "");
    free(plan.files[0]);
    plan.n_files = 0;
    for (size_t i = 0; i < FILES_MAX && row->files[i] != NULL; i++)
        write_rows(&plan, i, row->files[i]);
    if (log_read(&plan, &sink, 1, &account, &faults) != row->good)
        fail_msg("%s: %s", row->name, row->good ? "not read" : "read");
    places_text(&seen, &account, &places);
    if (strcmp(text_string(&places), row->places) != 0)
        fail_msg("%s: used were %s", row->name, text_string(&places));
    for (size_t i = 1; i < seen.n; i++)
        if (seen.seconds[i] <= seen.seconds[i - 1])
            fail_msg("%s: not in the order of time", row->name);
    want_sums(row->name, &account);
    if (account.refused[ROW_OVERLAP] != row->overlap ||
        account.refused[ROW_DUPLICATE] != row->duplicate ||
        account.refused[ROW_BACKWARD] != row->backward ||
        account.refused[ROW_DIFFERS] != row->differs || account.late.n != row->late ||
        account.merged.turns != row->turns)
        fail_msg("%s: overlap %d, duplicate %d, backward %d, differs %d, late %d, turns %d",
                 row->name, (int)account.refused[ROW_OVERLAP], (int)account.refused[ROW_DUPLICATE],
                 (int)account.refused[ROW_BACKWARD], (int)account.refused[ROW_DIFFERS],
                 (int)account.late.n, (int)account.merged.turns);
    want_message(row);
    text_free(&places);
    log_account_free(&account);
    log_plan_free(&plan);
}

static void rows_are_taken_by_turns(void **state)
{
    static const struct row rows[] = {
        {"odd and even", {"0:701 20:703 40:705", "10:702 30:704 50:706"}, true,
         "a2 b2 a3 b3 a4 b4", 0, 0, 0, 0, 0, 4,
         "a.csv:3: note: the rows of 2 files lie between each other's and are merged by their "
         "stamps: a.csv (3 rows), b.csv (3 rows)\n"},
        {"the later one first", {"10:702 30:704 50:706", "0:701 20:703 40:705"}, true,
         "b2 a2 b3 a3 b4 a4", 0, 0, 0, 0, 0, 4, NULL},
        {"one inside a hole of the other", {"0:701 10:702 50:706 60:707", "20:703 30:704 40:705"},
         true, "a2 a3 b2 b3 b4 a4 a5", 0, 0, 0, 0, 0, 1,
         "a.csv:4: note: the rows of 2 files lie between each other's"},
        {"three by turns", {"0:701 30:704 60:707", "10:702 40:705 70:708", "20:703 50:706 80:709"},
         true, "a2 b2 c2 a3 b3 c3 a4 b4 c4", 0, 0, 0, 0, 0, 6, NULL},
        {"one after the other", {"30:704 40:705", "0:701 10:702 20:703"}, true,
         "b2 b3 b4 a2 a3", 0, 0, 0, 0, 0, 0, NULL},
        {"read out twice", {"0:701 10:702 20:703", "0:701 10:702 20:703 30:704"}, true,
         "a2 a3 a4 b5", 3, 0, 0, 0, 0, 0,
         "b.csv:2: note: the row stands in a.csv:2 too (3 of 4 rows; this is the first)\n"},
        {"rows that stand in all three",
         {"0:701 20:703 30:704", "10:702 20:703 50:706", "20:703 40:705"}, true,
         "a2 b2 a3 a4 c3 b4", 2, 0, 0, 0, 0, 2, NULL},
        {"other readings at the same stamp", {"0:701 20:703 40:705", "10:702 20:799 30:704"}, false,
         "a2 b2 a3 b4 a4", 0, 0, 0, 1, 0, 3,
         "b.csv:3:1: field 1 'Time': stamp '2026-06-21T10:00:20' has other readings than in "
         "a.csv:3 (1 of 3 rows)\n"},
        {"a missing reading is another one than a number",
         {"0:701 20:703 40:705", "10:702 20: 30:704"}, false, "a2 b2 a3 b4 a4", 0, 0, 0, 1, 0, 3,
         NULL},
        {"the same stamp twice in one of them", {"0:701 20:703 20:703 40:705", "10:702 30:704"},
         true, "a2 b2 a3 b3 a5", 0, 1, 0, 0, 0, 3,
         "a.csv:4:1: warning: field 1 'Time': stamp '2026-06-21T10:00:20' is that of the row "
         "before (1 of 4 rows)\n"},
        {"one that comes late in its file", {"0:701 20:703 40:705 60:707", "10:702 50:706 30:704"},
         true, "a2 b2 a3 b4 a4 b3 a5", 0, 0, 0, 0, 1, 3, NULL},
        {"one that comes late and stands in the other file",
         {"0:701 20:703 30:704 40:705 60:707", "10:702 50:706 30:704"}, true,
         "a2 b2 a3 a4 a5 b3 a6", 1, 0, 0, 0, 0, 3,
         "b.csv:4: note: the row stands in a.csv:4 too (1 of 3 rows)\n"},
        {"a clock set back in one of them",
         {"0:701 20:703 40:705 60:707", "10:702 30:704 13:711 28:712 70:708"}, false,
         "a2 b2 a3 b3 a4 a5 b6", 0, 0, 2, 0, 0, 4,
         "b.csv:4:1: field 1 'Time': time runs backwards: 2026-06-21T10:00:13Z after "
         "2026-06-21T10:00:30Z of b.csv:3 (2 of 5 rows; this is the first)\n  its rows are merged "
         "with those of other files by the stamps: if the clock was set back, mend"},
        {"a gap in both", {"0:701 20:703 200:705 220:707", "10:702 210:706"}, true,
         "a2 b2 a3 a4 b3 a5", 0, 0, 0, 0, 0, 3, NULL},
    };
    (void)state;
    folder = aid_folder();
    assert_non_null(folder);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        want_row(&rows[i]);
    aid_remove(folder);
    free(folder);
}

/* The step of rows dealt out to three files is that of the log, not three of it: else a gap would
 * be told from another limit than in one file. */
static void the_step_is_that_of_all_rows(void **state)
{
    struct log_plan plan;
    struct log_account account;
    struct seen seen = {.n = 0};
    struct sink sink = {.state = &seen, .take = see};
    (void)state;
    folder = aid_folder();
    assert_non_null(folder);
    faults_init(&faults);
    aid_plan(&plan, "");
    free(plan.files[0]);
    plan.n_files = 0;
    write_rows(&plan, 0, "0:701 21:704 42:707 70:709");
    write_rows(&plan, 1, "7:702 28:705");
    write_rows(&plan, 2, "14:703 35:706 49:708");
    assert_true(log_read(&plan, &sink, 1, &account, &faults));
    assert_int_equal(account.step_us, 7000000);
    assert_int_equal(account.gap_us, 21000000);
    assert_int_equal(account.gaps, 0); /* 49 to 70 s is 21 s */
    log_account_free(&account);
    log_plan_free(&plan);
    aid_remove(folder);
    free(folder);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rows_are_taken_by_turns),
        cmocka_unit_test(the_step_is_that_of_all_rows),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
