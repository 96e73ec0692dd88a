/* A log that changes while it is read: what is reduced is a log that there was, and the report
 * says of which bytes; or the run is refused and the earlier result stays. The change comes
 * before every read in turn, by a hook in the call (shim.h). */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "scene.h"

#include "base/text.h"

#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static const char half_row[] = "2026-06-20T12:25:00,92";
static const char its_rest[] = "5.1,23.40,79.600,81.700,2.4130\n";

static struct scene scene;
static const char *victim; /* the log that changes */
static struct text whole;  /* it as it is at first */

static void path_of(const char *name, char path[600])
{
    snprintf(path, 600, "%s/%s", scene.folder, name);
}

static void read_file(const char *name, struct text *out)
{
    char path[600];
    char buffer[8192];
    size_t n;
    path_of(name, path);
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    text_clear(out);
    while ((n = fread(buffer, 1, sizeof buffer, file)) > 0)
        text_add_bytes(out, buffer, n);
    fclose(file);
}

/* A new file of that name, last changed long ago: a change is seen whatever the clock's grain. */
static void write_log(const char *name, const char *bytes, size_t n)
{
    static const struct timespec long_ago[2] = {{1000000007, 0}, {1000000007, 0}};
    char path[600];
    path_of(name, path);
    unlink(path);
    FILE *file = fopen(path, "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(bytes, 1, n, file), n);
    assert_int_equal(fclose(file), 0);
    assert_int_equal(utimensat(AT_FDCWD, path, long_ago, 0), 0);
}

/* The hooks run in the process of the program, in the scene's folder. */
static void must(bool good)
{
    if (!good)
        _exit(122);
}

static void append(const char *bytes)
{
    FILE *file = fopen(victim, "ab");
    must(file != NULL && fputs(bytes, file) >= 0 && fclose(file) == 0);
}

static void grow_by_a_row(void)
{
    append(half_row);
    append(its_rest);
}

static void finish_the_row(void)
{
    append(its_rest);
}

static void grow_for_ever(void)
{
    for (int i = 0; i < 50; i++)
        append("2026-06-20T12:25:00,925.1,23.40,79.600,81.700,2.4130\n");
}

static void replace(void)
{
    must(rename("other.csv", victim) == 0 || access("other.csv", F_OK) != 0);
}

static void shorten(void)
{
    must(truncate(victim, (off_t)whole.length * 2 / 3) == 0);
}

static void begin_anew(void)
{
    FILE *file = fopen(victim, "wb");
    must(file != NULL && fputs("Time,G tilt,T air,T in,T out,Flow\n", file) >= 0 &&
         fclose(file) == 0);
}

static void rewrite_in_place(void)
{
    int fd = open(victim, O_WRONLY);
    must(fd >= 0 && pwrite(fd, "9", 1, (off_t)whole.length * 2 / 3) == 1 && close(fd) == 0);
}

static void enter(enum scene_kind kind, const char *log)
{
    scene_open(&scene, kind);
    victim = log;
    text_init(&whole);
    read_file(victim, &whole);
}

static void leave(void)
{
    text_free(&whole);
    scene_close(&scene);
}

static struct seen run_with(void (*hook)(void), long at, const char *what)
{
    struct shim_plan plan = {
        .call = SHIM_READ, .at = at, .action = hook ? SHIM_HOOK : SHIM_NOTHING, .hook = hook};
    struct seen seen = scene_run(&scene, &plan, NULL);
    snprintf(scene.row, sizeof scene.row, "%s before read %ld, %s threads: status %d %.130s", what,
             at, scene.threads == NULL ? "its own" : scene.threads, seen.status, seen.words);
    return seen;
}

/* What came of a change before each of the reads. */
struct outcome {
    uint64_t changed; /* the result of the log as it was after the change; 0: none is possible */
    bool
        begun; /* a run was refused or took the log as it was: from here on it is never 'changed' */
    long refused;
    long worded;
    long as_it_was;
};

static void judge(const struct seen *seen, const char *words, struct outcome *outcome)
{
    uint64_t result = scene_fingerprint(&scene, ".results");
    scene_must(&scene, seen->status == 0 || seen->status == 3, "no status for that");
    if (seen->status == 3)
        scene_must(&scene, result == scene.earlier, "the earlier result is lost");
    bool changed = seen->status == 0 && result == outcome->changed && !outcome->begun;
    bool as_it_was = seen->status == 0 && result == scene.fresh;
    scene_must(&scene, seen->status == 3 || changed || as_it_was, "a result of no log there was");
    bool worded = strstr(seen->words, words) != NULL;
    outcome->begun = outcome->begun || as_it_was || worded;
    outcome->refused += seen->status == 3;
    outcome->worded += worded;
    outcome->as_it_was += as_it_was;
}

/* Replaced by another log, shortened, rewritten: one log or the other, or refused. */
static const struct another {
    const char *name;
    void (*hook)(void);
    const char *words;
} others[] = {
    {"replaced", replace, "was replaced by another file while it was read"},
    {"shortened", shorten, "became shorter while it was read"},
    {"begun anew", begin_anew, "became shorter while it was read"},
    {"rewritten", rewrite_in_place, "was changed while it was read"},
};
enum { OTHERS = sizeof others / sizeof others[0] };

static void set_up(void)
{
    scene_reset(&scene);
    write_log(victim, whole.bytes, whole.length);
    write_log("other.csv", whole.bytes, whole.length - 54);
}

static void change_to_another(const struct another *row)
{
    char words[120];
    struct outcome outcome = {.changed = 0};
    snprintf(words, sizeof words, "%s: %s", victim, row->words);
    set_up();
    long n = run_with(NULL, 0, row->name).count[SHIM_READ];
    assert_true(n >= 6);
    for (long at = 1; at <= n; at += shim_stride()) {
        set_up();
        struct seen seen = run_with(row->hook, at, row->name);
        if (at == 1 && seen.status == 0) /* before anything was looked at */
            outcome.changed = scene_fingerprint(&scene, ".results");
        judge(&seen, words, &outcome);
    }
    print_message("%s: %ld of %ld refused, %ld so worded, %ld as it was\n", row->name,
                  outcome.refused, n, outcome.worded, outcome.as_it_was);
    assert_true(outcome.worded >= 1 && outcome.as_it_was >= 1);
    assert_true(outcome.changed != scene.fresh);
}

static void a_log_that_is_another_by_now_is_refused(void **state)
{
    (void)state;
    static const char *const threads[] = {NULL, "3"};
    enter(SCENE_LOG, "log.csv");
    for (size_t t = 0; t < 2; t++)
        for (size_t i = 0; i < OTHERS; i++) {
            scene.threads = threads[t];
            change_to_another(&others[i]);
        }
    leave();
}

/* Two logs are read side by side: which of their reads is the n-th is not settled, and so not when
 * the change comes. What comes of it is of logs that there were all the same, or refused. */
static void a_second_loggers_log_may_change_too(void **state)
{
    (void)state;
    long all_worded = 0;
    enter(SCENE_TWO, "weather.csv");
    for (size_t i = 0; i < OTHERS; i++) {
        uint64_t changed;
        long refused = 0, worded = 0;
        set_up();
        long n = run_with(others[i].hook, 1, others[i].name).count[SHIM_READ];
        changed = scene_fingerprint(&scene, ".results"); /* of the description's first bytes */
        assert_true(n >= 6);
        for (long at = 2; at <= n; at++) {
            set_up();
            struct seen seen = run_with(others[i].hook, at, others[i].name);
            uint64_t result = scene_fingerprint(&scene, ".results");
            scene_must(&scene, seen.status == 0 || seen.status == 3, "no status for that");
            scene_must(&scene, seen.status == 0 || result == scene.earlier,
                       "the earlier result is lost");
            scene_must(&scene, seen.status == 3 || result == scene.fresh || result == changed,
                       "a result of no logs there were");
            refused += seen.status == 3;
            worded += strstr(seen.words, others[i].words) != NULL;
        }
        print_message("second logger's log %s: %ld of %ld refused, %ld so worded\n", others[i].name,
                      refused, n, worded);
        all_worded += worded;
    }
    assert_true(all_worded >= OTHERS);
    leave();
}

static bool says(const char *file, const char *words)
{
    struct text text = {0};
    read_file(file, &text);
    bool found = strstr(text_string(&text), words) != NULL;
    text_free(&text);
    return found;
}

/* The rows of points.csv say what was reduced. */
static bool has_same_points(const struct text *expected)
{
    struct text text = {0};
    read_file("test.results/points.csv", &text);
    bool same = text_same(text_string(&text), text_string(expected));
    text_free(&text);
    return same;
}

/* What the result says of the log's bytes. */
static void log_hash(char hex[65])
{
    struct text text = {0};
    hex[0] = '\0';
    read_file("test.results/results.json", &text);
    const char *at = strstr(text_string(&text), "\"log.csv\"");
    at = at == NULL ? NULL : strstr(at, "SHA-256 ");
    if (at != NULL)
        snprintf(hex, 65, "%.64s", at + strlen("SHA-256 "));
    text_free(&text);
}

static const struct growth {
    const char *name;
    const char *tail; /* of the log when the run begins */
    void (*hook)(void);
} growths[] = {
    {"a row is added", "", grow_by_a_row},
    {"half a row is finished", half_row, finish_the_row},
    {"rows are added without an end", "", grow_for_ever},
};
enum { GROWTHS = sizeof growths / sizeof growths[0] };

/* In: points, hash   of the log before it grew */
static void grow(const struct growth *row, const struct text *points, const char *hash)
{
    char now[65];
    long said = 0;
    scene_reset(&scene);
    long n = run_with(NULL, 0, row->name).count[SHIM_READ];
    for (long at = 1; at <= n; at += shim_stride()) {
        struct text log = {0};
        text_add_bytes(&log, whole.bytes, whole.length);
        text_add(&log, row->tail);
        scene_reset(&scene);
        write_log(victim, log.bytes, log.length);
        text_free(&log);
        struct seen seen = run_with(row->hook, at, row->name);
        scene_must(&scene, seen.status == 0 || (row->tail[0] != '\0' && seen.status == 3),
                   "no status for that");
        bool told = strstr(seen.words, "was still being written") != NULL;
        if (seen.status == 0)
            scene_must(&scene, has_same_points(points), "the points are others");
        if (told && seen.status == 0)
            scene_must(&scene, says("test.results/report.txt", "was still being written"),
                       "the report does not say it");
        log_hash(now);
        if (told && seen.status == 0 && row->tail[0] == '\0')
            scene_must(&scene, text_same(now, hash), "the hash is of other bytes");
        said += told;
    }
    print_message("%s: said %ld times of %ld\n", row->name, said, n);
    assert_true(said >= 1);
    write_log(victim, whole.bytes, whole.length);
}

static void a_log_that_grows_is_read_to_where_it_was(void **state)
{
    (void)state;
    static const char *const threads[] = {NULL, "3"};
    struct text points = {0};
    char hash[65];
    enter(SCENE_LOG, "log.csv");
    scene_reset(&scene);
    assert_int_equal(run_with(NULL, 0, "undisturbed").status, 0);
    read_file("test.results/points.csv", &points);
    log_hash(hash);
    assert_int_equal(strlen(hash), 64);
    for (size_t t = 0; t < 2; t++)
        for (size_t i = 0; i < GROWTHS; i++) {
            scene.threads = threads[t];
            grow(&growths[i], &points, hash);
        }
    text_free(&points);
    leave();
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_log_that_is_another_by_now_is_refused),
        cmocka_unit_test(a_second_loggers_log_may_change_too),
        cmocka_unit_test(a_log_that_grows_is_read_to_where_it_was),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
