/* Stretches: the log is read once for the checks alone, before anything is corrected; of each
 * stretch the means of 20 equal parts are kept, so memory does not grow with its length. A part's
 * mean is of the rows in which every channel that the check needs is good.
 */
#ifndef RUN_CHECK_STRETCH_H
#define RUN_CHECK_STRETCH_H

#include "base/faults.h"
#include "base/progress.h"
#include "ingest/account.h"
#include "ingest/log_plan.h"
#include "run/check.h"

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

/* Reads the log through the derived channels (a meter's pulses become a flow) into all stretches.
 * Out:     account   of this reading; the caller frees it, also after a failure
 * Returns: false with the faults of a reading (ingest/reader.h) */
bool stretches_read(struct stretch *stretches, size_t n, const struct test_setup *setup,
                    const struct log_plan *plan, const struct progress *progress,
                    struct log_account *account, struct faults *faults);

/* The parts that hold readings. */
void stretch_parts(const struct stretch *stretch, struct check_parts *parts);

#endif
