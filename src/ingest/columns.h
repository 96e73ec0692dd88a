/* Columns: which of a plan's columns a file of it holds, by its head alone.
 */
#ifndef INGEST_COLUMNS_H
#define INGEST_COLUMNS_H

#include "base/faults.h"
#include "ingest/log_plan.h"

#include <stdbool.h>
#include <stddef.h>

/* In:      plan   filled; its log has names
 *          file   of the plan
 * Out:     held   by column of the plan: whether the file has it, once
 *          timed  whether it has all columns of the stamp
 * Returns: false with the faults of the file's opening or of its head */
bool columns_held(const struct log_plan *plan, size_t file, bool held[CH_LOGGED], bool *timed,
                  struct faults *faults);

#endif
