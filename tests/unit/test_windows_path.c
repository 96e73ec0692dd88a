/* Paths on both sides of Windows' Linux subsystem. Rows by hand: /mnt/c/x is C:\x (common
 * practice). */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/windows_path.h"

#include <stdlib.h>
#include <string.h>

static struct faults faults;

static void want(const char *name, char *got, const char *expected)
{
    const char *said = got == NULL ? "(none)" : got;
    if (strcmp(said, expected == NULL ? "(none)" : expected) != 0)
        fail_msg("%s: %s", name, said);
    free(got);
}

static void the_subsystem_is_known_by_its_kernel(void **state)
{
    static const struct {
        const char *version;
        bool known;
    } rows[] = {
        {"Linux version 5.15.90.1-microsoft-standard-WSL2 (x@y) (gcc 9) #1 SMP", true},
        {"Linux version 4.4.0-19041-Microsoft (Microsoft@Microsoft.com)", true},
        {"Linux version 6.1.0-18-amd64 (debian-kernel)", false},
        {"", false},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct windows_host host = windows_host(rows[i].version, "Debian");
        if (host.known != rows[i].known || (host.name[0] != '\0') != rows[i].known)
            fail_msg("%s", rows[i].version);
    }
    assert_string_equal(windows_host(rows[0].version, NULL).name, "");
}

static void pasted_paths_are_translated(void **state)
{
    static const struct {
        const char *text;
        const char *linux_path;
    } rows[] = {
        {"C:\\Users\\Ann B\\day 1.csv", "/mnt/c/Users/Ann B/day 1.csv"},
        {"d:/logs/a.csv", "/mnt/d/logs/a.csv"},
        {"logs\\a.csv", "logs/a.csv"},
        {"logs/a.csv", NULL},
        {"/mnt/c/a.csv", NULL},
        {"C:a.csv", NULL},
    };
    (void)state;
    faults_init(&faults);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        want(rows[i].text, windows_to_linux(rows[i].text, &faults), rows[i].linux_path);
    assert_int_equal(faults.n, 0);
}

static void results_have_a_name_in_windows(void **state)
{
    static const struct {
        const char *name; /* of the Linux installation */
        const char *folder;
        const char *path;
        const char *expected;
    } rows[] = {
        {"Debian", "/srv/ann", "/mnt/c/Users/Ann B/p.results/report.html",
         "C:\\Users\\Ann B\\p.results\\report.html"},
        {"Debian", "/mnt/d/solar", "p.results/report.html", "D:\\solar\\p.results\\report.html"},
        {"Debian", "/srv/ann", "p.results/report.html",
         "\\\\wsl.localhost\\Debian\\srv\\ann\\p.results\\report.html"},
        {"", "/srv/ann", "p.results/report.html", NULL},
        {"", "/mnt/wsl", "a", NULL},
        {"", "/", "/mnt/c", "C:\\"},
    };
    (void)state;
    faults_init(&faults);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct windows_host host = windows_host("microsoft", rows[i].name);
        want(rows[i].path, windows_from_linux(&host, rows[i].folder, rows[i].path, &faults),
             rows[i].expected);
    }
    assert_int_equal(faults.n, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_subsystem_is_known_by_its_kernel),
        cmocka_unit_test(pasted_paths_are_translated),
        cmocka_unit_test(results_have_a_name_in_windows),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
