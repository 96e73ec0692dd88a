#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>

#include <cmocka.h>

#include "draft/draft_read.h"

#include <dirent.h>
#include <stdio.h>
#include <string.h>

/* The same small log in every dialect (testdata/good/dialects): whatever it is written in, the
 * draft finds the six columns and the first reading of each. */

enum { LEAST_FILES = 40 };

static struct faults faults;

/* Commas twice, which no description can say. */
static const char *const others[] = {"comma-quoted-decimal-comma.csv"};

static bool is_other(const char *name)
{
    for (size_t i = 0; i < sizeof others / sizeof others[0]; i++)
        if (strcmp(others[i], name) == 0)
            return true;
    return false;
}

/* The first readings of plain.csv, in whatever column they stand. */
static void check_log(const char *name, const struct draft_log *log)
{
    static const double first[] = {812.3, 24.31, 35.02, 42.17, 2.412};
    if (!log->clock.found || log->clock.n_read < 3)
        fail_msg("%s: no clock", name);
    for (size_t k = 0; k < sizeof first / sizeof first[0]; k++) {
        bool found = false;
        for (size_t i = 0; i < log->sample.head.n; i++)
            found = found ||
                    (log->columns[i].measure.n > 2 && log->columns[i].measure.first == first[k]);
        if (!found)
            fail_msg("%s: no column begins with %g", name, first[k]);
    }
}

static void every_dialect_is_understood(void **state)
{
    size_t n = 0;
    DIR *folder = opendir("testdata/good/dialects");
    (void)state;
    assert_non_null(folder);
    for (const struct dirent *entry = readdir(folder); entry != NULL; entry = readdir(folder)) {
        char path[300];
        const char *logs[] = {path};
        struct draft_log log;
        if (strstr(entry->d_name, ".csv") == NULL && strstr(entry->d_name, ".txt") == NULL)
            continue;
        if (is_other(entry->d_name))
            continue;
        snprintf(path, sizeof path, "testdata/good/dialects/%s", entry->d_name);
        faults_init(&faults);
        if (!draft_log_read(&log, logs, 1, NULL, &faults)) {
            faults_print(&faults, "test", stderr);
            fail_msg("%s: no draft", entry->d_name);
        }
        check_log(entry->d_name, &log);
        draft_log_free(&log);
        n++;
    }
    closedir(folder);
    assert_true(n >= LEAST_FILES);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_dialect_is_understood),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
