/* Several threads read the log, or draw a Monte Carlo, and the machine gives no thread, no bytes or
 * no memory: the whole new result, which is that of one thread, or status 5 and the earlier results
 * as they were. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "scene.h"

#include "base/threads.h"
#include "run/efficiency_draws.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>

static struct seen run(struct scene *scene, const struct shim_plan *plan)
{
    scene_reset(scene);
    struct seen seen = scene_run(scene, plan, NULL);
    snprintf(scene->row, sizeof scene->row, "call %ld of '%s': status %d %.90s", plan->at,
             shim_name(plan->call), seen.status, seen.words);
    scene_must(scene, seen.status == 0 || seen.status == 5, "no status for that");
    /* What could not be removed for want of memory, the next run removes. */
    scene_assert_all_or_nothing(scene, &seen, plan->call == SHIM_ALLOCATE);
    return seen;
}

static struct seen undisturbed(struct scene *scene)
{
    struct shim_plan none = {.action = SHIM_NOTHING};
    struct seen seen = run(scene, &none);
    scene_must(scene, seen.status == 0, "an undisturbed run fails");
    return seen;
}

static void open_scene(struct scene *scene)
{
    scene_open(scene, SCENE_LOG); /* its fresh result is of one thread: the log is short */
    scene->threads = "3";
}

static void a_thread_that_is_refused_is_done_without(void **state)
{
    (void)state;
    struct scene scene;
    open_scene(&scene);
    long n = undisturbed(&scene).count[SHIM_THREAD];
    scene_must(&scene, n == 2, "two threads beside the first were to be started");
    for (long at = 1; at <= n; at++)
        for (int onwards = 0; onwards <= 1; onwards++) {
            struct shim_plan plan = {.call = SHIM_THREAD,
                                     .at = at,
                                     .onwards = onwards == 1,
                                     .action = SHIM_FAIL,
                                     .error = EAGAIN};
            scene_must(&scene, run(&scene, &plan).status == 0, "it did not go on");
        }
    scene_close(&scene);
}

static void each_read_that_fails_leaves_all_or_nothing(void **state)
{
    (void)state;
    struct scene scene;
    long refused = 0, tried = 0;
    open_scene(&scene);
    long n = undisturbed(&scene).count[SHIM_READ];
    for (long at = 1; at <= n; at += shim_stride(), tried++) {
        struct shim_plan plan = {
            .call = SHIM_READ, .at = at, .action = SHIM_FAIL, .error = EIO};
        refused += run(&scene, &plan).status == 5;
        plan.action = SHIM_SHORT;
        scene_must(&scene, run(&scene, &plan).status == 0, "a short read is no fault");
    }
    scene_must(&scene, tried >= 3 && refused >= 1, "did without all of these");
    scene_close(&scene);
}

/* Which thread allocates first is not settled: one allocation in so many is tried. */
static void allocations_that_fail_leave_all_or_nothing(void **state)
{
    (void)state;
    enum { TRIES = 40 };
    struct scene scene;
    long refused = 0;
    open_scene(&scene);
    long n = undisturbed(&scene).count[SHIM_ALLOCATE];
    for (long i = 0; i < TRIES; i += shim_stride()) {
        struct shim_plan plan = {.call = SHIM_ALLOCATE,
                                 .at = 1 + i * n / TRIES,
                                 .onwards = i % 2 == 0,
                                 .action = SHIM_FAIL,
                                 .error = ENOMEM};
        refused += run(&scene, &plan).status == 5;
    }
    scene_must(&scene, refused >= 3, "did without nearly all of these");
    scene_close(&scene);
}

/* A Monte Carlo has a thread a core, as long as nothing else is asked for. Its draws are those of
 * one thread: every run's result is compared with the fresh one. */
static void a_monte_carlo_takes_the_threads_there_are(void **state)
{
    (void)state;
    struct scene scene;
    scene_open(&scene, SCENE_CHANCE);
    long cores = thread_cores() < DRAWS_THREADS ? thread_cores() : DRAWS_THREADS;
    scene_must(&scene, undisturbed(&scene).count[SHIM_THREAD] == cores - 1, "not a thread a core");
    scene.threads = "1";
    scene_must(&scene, undisturbed(&scene).count[SHIM_THREAD] == 0, "one thread starts another");
    scene.threads = "3";
    long n = undisturbed(&scene).count[SHIM_THREAD];
    scene_must(&scene, n == 2, "two threads beside the first were to be started");
    for (long at = 1; at <= n; at++)
        for (int onwards = 0; onwards <= 1; onwards++) {
            struct shim_plan plan = {.call = SHIM_THREAD,
                                     .at = at,
                                     .onwards = onwards == 1,
                                     .action = SHIM_FAIL,
                                     .error = EAGAIN};
            scene_must(&scene, run(&scene, &plan).status == 0, "it did not go on");
        }
    scene_close(&scene);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_thread_that_is_refused_is_done_without),
        cmocka_unit_test(each_read_that_fails_leaves_all_or_nothing),
        cmocka_unit_test(allocations_that_fail_leave_all_or_nothing),
        cmocka_unit_test(a_monte_carlo_takes_the_threads_there_are),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
