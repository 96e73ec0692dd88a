/* Scene: a folder with a small test and earlier results in it, and the whole program run there in a
 * process of its own, with calls that fail as a plan says (shim.h).
 *
 *     test.txt, log.csv       a log of four temperatures      test.results, test.results.old
 *     table.txt, points.csv   eight points typed by hand      table.results, table.results.old
 *     chance.txt              the same with a Monte Carlo     chance.results, chance.results.old
 *     two.txt, fluid.csv, weather.csv   the log as two loggers write it   two.results, two.results.old
 *
 * The results are of other data than the inputs: 'earlier', and 'oldest' under .old.
 */
#ifndef TESTS_FAULTS_SCENE_H
#define TESTS_FAULTS_SCENE_H

#include "shim.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum scene_kind {
    SCENE_LOG,
    SCENE_TABLE,
    SCENE_DRAWN, /* the table, with figures by a stub */
    SCENE_CHANCE, /* the table, with the fewest draws that a Monte Carlo takes */
    SCENE_TWO /* two logs, each read by a thread of its own */
};

struct scene {
    enum scene_kind kind;
    char *folder;
    char inputs[16]; /* "test", "table", "chance" or "two" */
    const char *threads; /* of runs to come; NULL: the program chooses */
    uint64_t oldest; /* fingerprints of results */
    uint64_t earlier;
    uint64_t fresh; /* what the program makes of the inputs when nothing fails */
    char *listed;   /* entries of the folder before a run */
    char row[300];  /* what is being tried: printed when it goes wrong */
};

/* One run: what it did. */
struct seen {
    int status;      /* of exit; 128 + n if signal n ended it */
    size_t said;     /* bytes on standard error */
    char words[300]; /* the first of them */
    long count[SHIM_DISK + 1];
};

void scene_open(struct scene *scene, enum scene_kind kind);
void scene_close(struct scene *scene);

/* Puts 'earlier' and 'oldest' back, and takes away whatever else a run left. */
void scene_reset(const struct scene *scene);

/* Runs `etabench reduce` on the scene. limit, if not NULL, is called in the new process before. */
struct seen scene_run(const struct scene *scene, const struct shim_plan *plan, void (*limit)(void));

/* Of the folder `inputs` + tail in the scene: names and bytes of all its files; 0 if there is
 * none. */
uint64_t scene_fingerprint(const struct scene *scene, const char *tail);

/* Fails the test, after the row and what was wrong, unless `good`. */
void scene_must(const struct scene *scene, bool good, const char *what);

/* After a run that came to its end. Status 0: the result is 'fresh' and the one before is kept.
 * Any other: both results are as before, and something was said. In either case nothing else
 * stands in the folder, or, if it `may_leave` them because what removes them could fail too,
 * hidden things that the next run takes away; then also a status 5 of which only the screen's
 * words were the victim. */
void scene_assert_all_or_nothing(const struct scene *scene, const struct seen *seen,
                                 bool may_leave);

/* A run after one that failed, was killed or came to its end: it is like any other, and takes
 * away what that one left. */
void scene_assert_next_run_clears_up(const struct scene *scene);

#endif
