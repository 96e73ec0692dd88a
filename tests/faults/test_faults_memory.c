/* Memory that is not given, and files that may not be opened: at whichever allocation, under whichever
 * limit, there is a whole new result, or status 5, a word about it and the earlier results as they were.
 * Under the sanitizer a leak on the way out is a failure too (its exit status is none of ours). */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "scene.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <sys/resource.h>
#include <unistd.h>

static const enum scene_kind kinds[] = {SCENE_LOG, SCENE_TABLE, SCENE_DRAWN};
static const char *const kind_names[] = {"log", "table", "table with figures"};

/* Removing opens a folder, which allocates: what it could not remove, the next run removes. */
static void judge(struct scene *scene, const struct seen *seen)
{
    scene_must(scene, seen->status == 0 || seen->status == 5, "no status for that");
    scene_assert_all_or_nothing(scene, seen, true);
}

static void starve(struct scene *scene, long at, bool onwards, long *refused)
{
    struct shim_plan plan = {.call = SHIM_ALLOCATE,
                             .at = at,
                             .onwards = onwards,
                             .action = SHIM_FAIL,
                             .error = ENOMEM};
    scene_reset(scene);
    struct seen seen = scene_run(scene, &plan, NULL);
    snprintf(scene->row, sizeof scene->row, "%s, allocation %ld%s: status %d %.90s",
             kind_names[scene->kind], at, onwards ? " and later" : "", seen.status, seen.words);
    judge(scene, &seen);
    *refused += seen.status == 5;
}

static void each_allocation_that_fails_leaves_all_or_nothing(void **state)
{
    (void)state;
    for (size_t k = 0; k < 3; k++) {
        struct shim_plan none = {.action = SHIM_NOTHING};
        struct scene scene;
        long refused = 0;
        scene_open(&scene, kinds[k]);
        long n = scene_run(&scene, &none, NULL).count[SHIM_ALLOCATE];
        print_message("%s: %ld allocations\n", kind_names[k], n);
        assert_true(n > 100);
        for (long at = 1; at <= n; at++)
            starve(&scene, at, at % 2 == 0, &refused);
        /* Some of them are made good or belong to what a run can do without; most are not. */
        assert_true(2 * refused > n);
        scene_close(&scene);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_allocation_that_fails_leaves_all_or_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
