/* Where the rows of a batch (ingest/batch.h) go and what they follow on.
 */
#ifndef INGEST_BATCH_TARGET_H
#define INGEST_BATCH_TARGET_H

#include "domain/channel.h"

#include <stddef.h>
#include <stdint.h>

struct batch_target {
    double *value[CH_LOGGED]; /* by column of the plan: where the first row goes */
    int64_t *time_us;
    size_t room;     /* rows */
    int64_t last_us; /* of the row before; of the last row afterwards */
    int64_t gap_us;  /* longest step that is no gap, > 0 */
    int64_t limit_us; /* the rows are before it: another file's come then */
};

#endif
