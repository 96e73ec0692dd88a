/* A disk that fails or fills, a program that is killed: whichever call to the system it is that
 * fails, there is a whole new result or the earlier one as it was, and the exit status says
 * which. The expected results are those of the same program when nothing fails. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "scene.h"

#include <errno.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>

static const enum scene_kind kinds[] = {SCENE_LOG, SCENE_DRAWN};
static const char *const kind_names[] = {[SCENE_LOG] = "log", [SCENE_DRAWN] = "table with figures"};

static struct seen undisturbed(struct scene *scene)
{
    struct shim_plan none = {.action = SHIM_NOTHING};
    strcpy(scene->row, "undisturbed");
    scene_reset(scene);
    struct seen seen = scene_run(scene, &none, NULL);
    scene_must(scene, seen.status == 0, seen.words);
    scene_assert_all_or_nothing(scene, &seen, false);
    return seen;
}

static struct seen disturbed(struct scene *scene, const struct shim_plan *plan, const char *how)
{
    scene_reset(scene);
    struct seen seen = scene_run(scene, plan, NULL);
    snprintf(scene->row, sizeof scene->row, "%s, %s at call %ld of '%s': status %d %.90s",
             kind_names[scene->kind], how, plan->at, shim_name(plan->call), seen.status,
             seen.words);
    return seen;
}

/* How many runs were tried, and how many of them ended with status 5. */
struct tally {
    long tried;
    long refused;
};

/* Every call of a kind fails in turn, alone or with all that follow. */
static struct tally fail_each(struct scene *scene, enum shim_call call, int error, bool onwards)
{
    struct tally tally = {0, 0};
    long n = undisturbed(scene).count[call];
    for (long at = 1; at <= n; at += shim_stride()) {
        struct shim_plan plan = {
            .call = call, .at = at, .onwards = onwards, .action = SHIM_FAIL, .error = error};
        struct seen seen = disturbed(scene, &plan, strerror(error));
        scene_must(scene, seen.status == 0 || seen.status == 5, "no status for that");
        /* Removing opens a folder, and removes. */
        scene_assert_all_or_nothing(scene, &seen, call == SHIM_OPEN || call == SHIM_REMOVE);
        tally.tried++;
        tally.refused += seen.status == 5;
    }
    return tally;
}

static void each_call_that_fails_leaves_all_or_nothing(void **state)
{
    (void)state;
    static const struct {
        enum shim_call call;
        int error;
        enum { NEVER, SOMETIMES, ALWAYS } refused; /* how many of these failures are status 5 */
    } rows[] = {
        {SHIM_WRITE, ENOSPC, ALWAYS},    {SHIM_FSYNC, EIO, ALWAYS},
        {SHIM_OPEN, EMFILE, SOMETIMES},  {SHIM_READ, EIO, SOMETIMES},
        {SHIM_RENAME, EACCES, ALWAYS},   {SHIM_MAKE, ENOSPC, ALWAYS},
        {SHIM_SPAWN, EAGAIN, ALWAYS},    {SHIM_CLOSE, EDQUOT, SOMETIMES},
        {SHIM_NAMELESS, ENOSPC, ALWAYS}, {SHIM_NAMELESS, EOPNOTSUPP, NEVER}, /* named then */
        {SHIM_REMOVE, EIO, NEVER}, /* the next run does it */
    };
    for (size_t k = 0; k < sizeof kinds / sizeof kinds[0]; k++) {
        struct scene scene;
        scene_open(&scene, kinds[k]);
        for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
            bool drawing = rows[i].call == SHIM_SPAWN || rows[i].call == SHIM_NAMELESS;
            if (drawing && kinds[k] != SCENE_DRAWN)
                continue;
            struct tally tally = fail_each(&scene, rows[i].call, rows[i].error, false);
            scene_must(&scene, tally.tried >= 1, "no such call");
            if (rows[i].refused == NEVER)
                scene_must(&scene, tally.refused == 0, "refused one of these");
            if (rows[i].refused == SOMETIMES)
                scene_must(&scene, tally.refused >= 1, "did without all of these");
            if (rows[i].refused == ALWAYS)
                scene_must(&scene, tally.refused == tally.tried, "did without one of these");
        }
        scene_close(&scene);
    }
}

static void a_disk_that_stays_full_leaves_all_or_nothing(void **state)
{
    (void)state;
    for (size_t k = 0; k < sizeof kinds / sizeof kinds[0]; k++) {
        struct scene scene;
        scene_open(&scene, kinds[k]);
        struct tally tally = fail_each(&scene, SHIM_WRITE, ENOSPC, true);
        assert_true(tally.tried >= 3);
        assert_int_equal(tally.refused, tally.tried);
        scene_close(&scene);
    }
}

static void calls_that_fall_short_are_made_again(void **state)
{
    (void)state;
    static const struct {
        enum shim_call call;
        enum shim_action action;
        int error;
    } rows[] = {
        {SHIM_WRITE, SHIM_SHORT, 0},
        {SHIM_WRITE, SHIM_FAIL, EINTR},
        {SHIM_READ, SHIM_SHORT, 0},
        {SHIM_READ, SHIM_FAIL, EINTR},
    };
    for (size_t k = 0; k < sizeof kinds / sizeof kinds[0]; k++) {
        struct scene scene;
        scene_open(&scene, kinds[k]);
        for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
            long n = undisturbed(&scene).count[rows[i].call];
            assert_true(n >= 1);
            for (long at = 1; at <= n; at += shim_stride()) {
                struct shim_plan plan = {.call = rows[i].call,
                                         .at = at,
                                         .action = rows[i].action,
                                         .error = rows[i].error};
                struct seen seen = disturbed(
                    &scene, &plan, rows[i].action == SHIM_SHORT ? "short" : strerror(EINTR));
                scene_must(&scene, seen.status == 0, "not made again");
                scene_assert_all_or_nothing(&scene, &seen, false);
            }
        }
        scene_close(&scene);
    }
}

/* What must hold the moment after a kill -9: of the earlier results nothing is lost but the
 * oldest. */
static void assert_nothing_lost(const struct scene *scene)
{
    uint64_t result = scene_fingerprint(scene, ".results");
    uint64_t old = scene_fingerprint(scene, ".results.old");
    scene_must(scene, result == 0 || result == scene->earlier || result == scene->fresh,
               "half a result");
    scene_must(scene, old == 0 || old == scene->earlier || old == scene->oldest,
               "half a result under .old");
    scene_must(scene, result == scene->earlier || old == scene->earlier,
               "the earlier result is lost");
}

static void killed_at_any_call_nothing_earlier_is_lost(void **state)
{
    (void)state;
    for (size_t k = 0; k < sizeof kinds / sizeof kinds[0]; k++) {
        struct scene scene;
        scene_open(&scene, kinds[k]);
        long n = undisturbed(&scene).count[SHIM_DISK];
        assert_true(n >= 20);
        for (long at = 1; at <= n; at += shim_stride()) {
            struct shim_plan plan = {
                .call = SHIM_DISK, .at = at, .action = SHIM_SIGNAL, .signal_number = SIGKILL};
            struct seen seen = disturbed(&scene, &plan, "killed");
            scene_must(&scene, seen.status == 128 + SIGKILL, "it lived on");
            assert_nothing_lost(&scene);
            scene_assert_next_run_clears_up(&scene);
        }
        scene_close(&scene);
    }
}

static void asked_to_end_at_any_call_it_leaves_all_or_nothing(void **state)
{
    (void)state;
    static const int signals[] = {SIGTERM, SIGINT, SIGHUP};
    /* A shell starts what it puts into the background deaf to some of them, nohup does too, and the
     * program would take that over. */
    for (size_t i = 0; i < sizeof signals / sizeof signals[0]; i++)
        assert_true(signal(signals[i], SIG_DFL) != SIG_ERR);
    for (size_t k = 0; k < sizeof kinds / sizeof kinds[0]; k++) {
        struct scene scene;
        scene_open(&scene, kinds[k]);
        long n = undisturbed(&scene).count[SHIM_DISK];
        for (long at = 1; at <= n; at += shim_stride()) {
            struct shim_plan plan = {.call = SHIM_DISK,
                                     .at = at,
                                     .action = SHIM_SIGNAL,
                                     .signal_number = signals[at % 3]};
            struct seen seen = disturbed(&scene, &plan, "asked to end");
            scene_must(&scene, seen.status == 128 + signals[at % 3], "not as one who is asked");
            bool done = scene_fingerprint(&scene, ".results") == scene.fresh;
            struct seen like = {.status = done ? 0 : 1, .said = 1};
            scene_assert_all_or_nothing(&scene, &like, false);
        }
        scene_close(&scene);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_call_that_fails_leaves_all_or_nothing),
        cmocka_unit_test(a_disk_that_stays_full_leaves_all_or_nothing),
        cmocka_unit_test(calls_that_fall_short_are_made_again),
        cmocka_unit_test(killed_at_any_call_nothing_earlier_is_lost),
        cmocka_unit_test(asked_to_end_at_any_call_it_leaves_all_or_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
