/* Reduction: a description and its logs (or points tables) -> means of steady windows, with
 * everything that was set aside on the way. What `check` shows and every run starts from; a log
 * is read once, whatever the number of runs (twice where angles are refused, run/reduction_log.h).
 */
#ifndef RUN_REDUCTION_H
#define RUN_REDUCTION_H

#include "base/faults.h"
#include "base/progress.h"
#include "point/points_table.h"
#include "run/check.h"
#include "run/log_set.h"
#include "run/rules_section.h"
#include "run/setup.h"
#include "run/sun_means.h"
#include "window/clear_days.h"
#include "window/derived.h"
#include "window/finder.h"
#include "window/night.h"
#include "window/rules.h"
#include "window/timeline.h"

#include <stdbool.h>
#include <stddef.h>

/* A points table that was read. */
struct points_file {
    char *path;
    char sha256[HASH_HEX_SIZE];
};

struct reduction {
    const struct progress *progress; /* told while a log is read and errors are drawn; NULL: nobody;
                                        set it after init */
    struct test_setup setup;
    struct rules rules;
    struct criteria criteria;
    bool untested_too; /* a construction alone will do; set it after init */
    bool from_log; /* windows out of a log; otherwise points by hand */

    struct log_set logs;
    struct finder finder;
    struct timeline timeline;
    struct angles angles; /* of place and mount, with what does not fit; after the last row */
    struct clear_days clear_days; /* of a collector that stands still under the sun */
    bool clock_asked;
    struct sun_clock clock;
    bool keeps_oblique;  /* a run finds the modifier: no window is refused for its angle */
    bool angles_refused; /* clock or site are wrong by that: windows are those without a [site] */
    struct night night;   /* what sun sensors show in the dark, after the last row */
    struct pulses pulses[COUNTED]; /* of meters that give pulses or a total, after the last row */

    struct check_result *checks; /* of the check runs, in their order; owned */
    size_t n_checks;
    struct log_set checks_logs; /* as read for them; empty if they needed none */

    struct points_file *points_files;
    size_t n_points_files;

    unsigned threads; /* to read logs and to draw with, see struct log_plan; 0: as the machine has;
                         set it after init */
    bool skip_bad; /* go on without faulty rows of points tables; set it after init */
    struct points_rows points_rows; /* where the points by hand came from, and what was wrong */

    struct means_list means; /* of the windows, or the points by hand */
};

/* Makes it empty: reduction_free may follow at any time. Large: keep it on the heap. */
void reduction_init(struct reduction *reduction);
void reduction_free(struct reduction *reduction);

/* Reads the description alone: setup and rules.
 * Returns: false with all its faults. */
bool reduction_describe(struct reduction *reduction, const char *path, struct faults *faults);

/* Reads logs or points; reduction_describe came before. Where the description asks for checks
 * they come first (run/checks.h): what they found is in the setup before anything is formed.
 * Returns: false with input or machine faults. No window at all is no fault here. */
bool reduction_read(struct reduction *reduction, struct faults *faults);

/* Frees what only reduction_document looks at: windows' verdicts, refusals and timeline. Runs need
 * their own memory after that; of 3,000 windows this is 2.5 MiB. */
void reduction_forget_log(struct reduction *reduction);

#endif
