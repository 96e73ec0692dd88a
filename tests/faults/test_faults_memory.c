/* Memory that is not given, and files that may not be opened: at whichever allocation, under
 * whichever limit, there is a whole new result, or status 5, a word about it and the earlier
 * results as they were. Under the sanitizer a leak on the way out is a failure too (its exit
 * status is none of ours). */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "scene.h"

#include <errno.h>
#include <stdio.h>
#include <sys/mman.h>
#include <sys/resource.h>
#include <unistd.h>

static const enum scene_kind kinds[] = {SCENE_LOG, SCENE_DRAWN, SCENE_CHANCE};
static const char *const kind_names[] = {[SCENE_LOG] = "log",
                                         [SCENE_DRAWN] = "table with figures",
                                         [SCENE_CHANCE] = "table with a Monte Carlo"};
/* Ways to an allocation that the scenes before do not know, at least. */
static const long new_ways[] = {[SCENE_LOG] = 100, [SCENE_DRAWN] = 100, [SCENE_CHANCE] = 10};

/* Removing opens a folder, which allocates: what it could not remove, the next run removes. */
static void judge(struct scene *scene, const struct seen *seen)
{
    scene_must(scene, seen->status == 0 || seen->status == 5, "no status for that");
    scene_assert_all_or_nothing(scene, seen, true);
}

static void starve(struct scene *scene, long at, bool onwards, long *refused)
{
    struct shim_plan plan = {
        .call = SHIM_ALLOCATE, .at = at, .onwards = onwards, .action = SHIM_FAIL, .error = ENOMEM};
    scene_reset(scene);
    struct seen seen = scene_run(scene, &plan, NULL);
    snprintf(scene->row, sizeof scene->row, "%s, allocation %ld%s: status %d %.90s",
             kind_names[scene->kind], at, onwards ? " and later" : "", seen.status, seen.words);
    judge(scene, &seen);
    *refused += seen.status == 5;
}

static struct shim_notes *make_notes(void)
{
    struct shim_notes *notes =
        mmap(NULL, sizeof *notes, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    assert_true(notes != MAP_FAILED);
    return notes;
}

/* Which allocations of the scene to try: one of each way through the program that leads to one
 * and is not yet among the notes. */
static void find_ways(const struct scene *scene, struct shim_notes *notes)
{
    struct shim_plan plan = {
        .call = SHIM_ALLOCATE, .at = 1, .onwards = true, .action = SHIM_NOTE, .notes = notes};
    scene_reset(scene);
    assert_int_equal(scene_run(scene, &plan, NULL).status, 0);
    assert_true(notes->n < SHIM_NOTES_MAX);
}

static void each_allocation_that_fails_leaves_all_or_nothing(void **state)
{
    (void)state;
    struct shim_notes *ways = make_notes();
    for (size_t k = 0; k < sizeof kinds / sizeof kinds[0]; k++) {
        struct scene scene;
        long refused = 0, tried = 0, before = ways->n;
        scene_open(&scene, kinds[k]);
        find_ways(&scene, ways);
        for (long i = before; i < ways->n; i += shim_stride(), tried++)
            starve(&scene, ways->at[i], tried % 2 == 0, &refused);
        print_message("%s: %ld new ways to %ld allocations, %ld tried, %ld refused\n",
                      kind_names[kinds[k]], ways->n - before, ways->at[ways->n - 1], tried,
                      refused);
        /* Some of them are made good or belong to what a run can do without; most are not. */
        assert_true(ways->n - before > new_ways[kinds[k]] && 2 * refused > tried);
        scene_close(&scene);
    }
    munmap(ways, sizeof *ways);
}

static rlim_t room_bytes;

/* Address space beyond what the process has now. */
static void limit_memory(void)
{
    unsigned long pages = 0;
    FILE *file = fopen("/proc/self/statm", "r");
    if (file == NULL || fscanf(file, "%lu", &pages) != 1)
        _exit(124);
    fclose(file);
    rlim_t bytes = (rlim_t)pages * (rlim_t)sysconf(_SC_PAGESIZE) + room_bytes;
    struct rlimit limit = {bytes, bytes};
    if (setrlimit(RLIMIT_AS, &limit) != 0)
        _exit(123);
}

static rlim_t files_allowed;

static void limit_files(void)
{
    struct rlimit limit;
    if (getrlimit(RLIMIT_NOFILE, &limit) != 0)
        _exit(123);
    limit.rlim_cur = files_allowed;
    if (setrlimit(RLIMIT_NOFILE, &limit) != 0)
        _exit(123);
}

/* From a limit under which nothing can be done to one that is enough. */
static void climb(struct scene *scene, rlim_t *limited, rlim_t step, int steps, void (*limit)(void),
                  const char *what)
{
    struct shim_plan none = {.action = SHIM_NOTHING};
    int done = 0, refused = 0;
    for (int i = 0; i < steps; i++) {
        *limited = (rlim_t)i * step;
        scene_reset(scene);
        struct seen seen = scene_run(scene, &none, limit);
        snprintf(scene->row, sizeof scene->row, "%s, %s %lu: status %d %.90s",
                 kind_names[scene->kind], what, (unsigned long)*limited, seen.status, seen.words);
        judge(scene, &seen);
        done += seen.status == 0;
        refused += seen.status == 5;
    }
    print_message("%s, %s: %d done, %d refused\n", kind_names[scene->kind], what, done, refused);
    assert_true(done >= 3 && refused >= 3);
}

static void a_limit_of_memory_leaves_all_or_nothing(void **state)
{
    (void)state;
    if (shim_is_own_only()) /* the sanitizer needs terabytes of addresses for itself */
        skip();
    for (size_t k = 0; k < 2; k++) { /* the drawing programs are under the limit too */
        struct scene scene;
        scene_open(&scene, kinds[k]);
        climb(&scene, &room_bytes, 97 * 1024, 60, limit_memory, "bytes of room");
        scene_close(&scene);
    }
}

static void a_limit_of_open_files_leaves_all_or_nothing(void **state)
{
    (void)state;
    for (size_t k = 0; k < 2; k++) { /* a Monte Carlo opens no file */
        struct scene scene;
        scene_open(&scene, kinds[k]);
        climb(&scene, &files_allowed, 1, 16, limit_files, "open files");
        scene_close(&scene);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_allocation_that_fails_leaves_all_or_nothing),
        cmocka_unit_test(a_limit_of_memory_leaves_all_or_nothing),
        cmocka_unit_test(a_limit_of_open_files_leaves_all_or_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
