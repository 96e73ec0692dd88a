/* What two tests have in common: which rows of their error registries are one and the same error.
 *
 * A row is shared with one of the other test when it is of the same slot and
 *   - of one instrument: the same `id` in both descriptions, or one column of one file,
 *   - of the water's own properties,
 *   - of a wind or sky that was over both at once (a share of a day in common); what a black plate
 *     and a selective one make of it still differs, and that difference stays.
 * Equal names alone say nothing.
 */
#ifndef STUDY_SHARED_H
#define STUDY_SHARED_H

#include "domain/channel.h"
#include "domain/error_source.h"
#include "study/tested.h"

#include <stdbool.h>

/* Why a row is shared. */
enum shared_by { SHARED_NOT, SHARED_ID, SHARED_COLUMN, SHARED_WATER, SHARED_SURROUNDINGS };

/* A calibration or session row of two tests. */
struct shared_row {
    const struct error_source *a, *b; /* borrowed; both, or one and NULL */
    enum shared_by by;
};

/* Whether and why a row of a and one of b are one error. In: both of the registries of a and b */
enum shared_by shared_judge(const struct tested *a, const struct error_source *row_a,
                            const struct tested *b, const struct error_source *row_b);

/* Whether both read a channel from one column of one file. */
bool shared_channel(const struct tested *a, const struct tested *b, enum channel channel);

/* "one instrument, by its id" */
const char *shared_by_words(enum shared_by by);

#endif
