/* Complaints about a file that changes its form on the way.
 */
#ifndef INGEST_COMPLAINT_FORM_H
#define INGEST_COMPLAINT_FORM_H

#include "base/faults.h"
#include "ingest/complaint_first.h"

#include <stdbool.h>

/* Rows of fewer fields than those before, in a file where that is rare: an input fault if the file
 * goes on so to its end, for then a column may be gone and all behind it moved; else a warning. */
bool complain_fewer(const struct stamp_troubles *t, struct faults *faults);

/* Of the first stamp that cannot be read, where others of the file could: what the rows are now.
 * Returns: false if nothing can be told. */
bool hint_changed(const struct stamp_troubles *t, struct fault *fault);

#endif
