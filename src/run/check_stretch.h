/* Stretches: the log is read once for the checks alone, before anything is corrected; of each
 * stretch the means of 20 equal parts are kept, so memory does not grow with its length. A part's
 * mean is of the rows in which every channel that the check needs is good.
 */
#ifndef RUN_CHECK_STRETCH_H
#define RUN_CHECK_STRETCH_H

#include "base/faults.h"
#include "base/progress.h"
#include "run/check.h"
#include "run/log_set.h"

#include <stdbool.h>
#include <stddef.h>

struct stretch {
    int64_t start_us;
    int64_t end_us;
    bool needed[CH_COUNT];
    size_t rows[CHECK_PARTS];
    double sum[CHECK_PARTS][CH_COUNT];
};

/* A run's stretch with the channels that its kind needs. */
void stretch_init(struct stretch *stretch, const struct test_setup *setup,
                  const struct run_section *run);

/* Reads the logs through the derived channels (a meter's pulses become a flow) into all stretches.
 * In/Out:  logs  with their plans; the accounts of this reading
 * Returns: false with the faults of a reading (ingest/join.h) */
bool stretches_read(struct stretch *stretches, size_t n, const struct test_setup *setup,
                    struct log_set *logs, const struct progress *progress, struct faults *faults);

/* The parts that hold readings. */
void stretch_parts(const struct stretch *stretch, struct check_parts *parts);

#endif
