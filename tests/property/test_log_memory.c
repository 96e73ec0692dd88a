/* Memory does not grow with a log's length: four times the rows, in order or with late ones
 * among them, written plainly or so that no line can be taken quickly, by one thread and by three.
 * Each reduction is a process of its own, which starts with what this one holds. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "run/reduction.h"
#include "tests/unit/aid_folder.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

/* The short one is long enough for each thread to fill all its rooms. */
enum { SHORT_ROWS = 480000, LONG_ROWS = 4 * SHORT_ROWS, PATH_SIZE = 300 };

/* 16 MiB is what the program promises; the two may differ by what the allocator rounds up. */
enum { MOST_KIB = 16 * 1024, GROWTH_MOST_KIB = 512 };

static char *folder;

static const char description[] = "[collector]\n"
                                  "gross area = 2.05 m2\n"
                                  "[log]\n"
                                  "file = log.csv\n"
                                  "time = Time, Unix time, UTC\n"
                                  "[instrument sun]\n"
                                  "measures = irradiance\ncolumn = G\nunit = W/m2\n"
                                  "calibration = 1.2 % k=2\n"
                                  "[instrument air]\n"
                                  "measures = ambient\ncolumn = ta\nunit = degC\n"
                                  "calibration = 0.3 K k=2\n"
                                  "[instrument cold]\n"
                                  "measures = inlet\ncolumn = ti\nunit = degC\n"
                                  "calibration = 0.1 K k=2\n"
                                  "[instrument hot]\n"
                                  "measures = outlet\ncolumn = to\nunit = degC\n"
                                  "calibration = 0.1 K k=2\n"
                                  "[instrument meter]\n"
                                  "measures = flow\ncolumn = V\nunit = L/min\n"
                                  "calibration = 0.8 % k=2\n"
                                  "[steady state]\n"
                                  "rules = homemade rig\n"
                                  "[run c]\n"
                                  "kind = efficiency\n";

struct manner {
    const char *name;
    bool late;   /* one row in 50 comes 20 rows late */
    bool quoted; /* the stamps are in quotes */
    unsigned threads;
};

static void add_row(FILE *out, const struct manner *m, long i)
{
    const char *quote = m->quoted ? "\"" : "";
    fprintf(out, "%s%ld%s,%ld.%ld,2%ld.31,35.0%ld,41.%02ld,2.4%ld\n", quote, 1781990000 + 10 * i,
            quote, 60 + i % 17, i % 10, i % 3, i % 7, i * 7 % 100, i % 9);
}

/* A dull season, in which no window is found: what those hold grows with their number. */
static void write_log(const struct manner *m, long rows)
{
    char path[PATH_SIZE];
    snprintf(path, sizeof path, "%s/log.csv", folder);
    FILE *out = fopen(path, "wb");
    assert_non_null(out);
    fputs("Time,G,ta,ti,to,V\n", out);
    for (long i = 0; i < rows; i++) {
        if (!m->late || i % 50 != 7 || i + 20 >= rows)
            add_row(out, m, i);
        if (m->late && i % 50 == 27)
            add_row(out, m, i - 20);
    }
    assert_int_equal(fclose(out), 0);
}

static int reduce(unsigned threads, long rows)
{
    static struct faults faults;
    char path[PATH_SIZE];
    struct reduction *r = malloc(sizeof *r);
    snprintf(path, sizeof path, "%s/test.txt", folder);
    faults_init(&faults);
    if (r == NULL)
        return 1;
    reduction_init(r);
    r->threads = threads;
    bool good = reduction_describe(r, path, &faults) && reduction_read(r, &faults);
    if (good && (r->means.n != 0 || r->logs.account[0].rows_used != (uint64_t)rows))
        return 2;
    if (!good)
        faults_print(&faults, "test", stderr);
    return good ? 0 : 3;
}

/* Returns: the most memory that it ever held, KiB */
static long peak_kib(const struct manner *m, long rows)
{
    int status = -1;
    struct rusage usage;
    write_log(m, rows);
    fflush(NULL);
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0)
        _exit(reduce(m->threads, rows));
    assert_int_equal(wait4(child, &status, 0, &usage), child);
    if (status != 0)
        fail_msg("%s, %ld rows: status %d", m->name, rows, WEXITSTATUS(status));
    return usage.ru_maxrss;
}

static void memory_does_not_grow_with_the_log(void **state)
{
    (void)state;
    static const struct manner manners[] = {
        {"in order", false, false, 1},
        {"in order, three threads", false, false, 3},
        {"late rows", true, false, 1},
        {"in quotes", false, true, 1},
        {"in quotes, late rows, three threads", true, true, 3},
    };
#if defined __SANITIZE_ADDRESS__
    skip(); /* what the sanitizer keeps grows */
#endif
    for (size_t i = 0; i < sizeof manners / sizeof manners[0]; i++) {
        long least = peak_kib(&manners[i], SHORT_ROWS), most = peak_kib(&manners[i], LONG_ROWS);
        print_message("%s: %ld KiB, with 4 times the rows %ld KiB\n", manners[i].name, least,
                      most);
        if (most > MOST_KIB || most - least > GROWTH_MOST_KIB)
            fail_msg("%s: %ld KiB, with 4 times the rows %ld KiB", manners[i].name, least, most);
    }
}

static int set_up(void **state)
{
    char path[PATH_SIZE];
    (void)state;
    folder = aid_folder();
    if (folder == NULL)
        return -1;
    aid_write(folder, "test.txt", description, strlen(description), path);
    return 0;
}

static int tear_down(void **state)
{
    (void)state;
    aid_remove(folder);
    free(folder);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(memory_does_not_grow_with_the_log),
    };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}
