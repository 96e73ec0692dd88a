/* Reader: the log of a plan -> blocks for sinks, and an account of it. Memory does not grow with
 * the log's length.
 *
 * Files are read in the order of their first stamps, and where their rows lie between each other's
 * these are merged in the order of time (ingest/turns.h): the result is that of one file with all
 * the rows in that order. A row whose stamp is not after that of the last used row is refused and
 * counted. A block never holds a gap: after one, the next block starts with gap_before set (so does
 * the first block of all).
 */
#ifndef INGEST_READER_H
#define INGEST_READER_H

#include "base/faults.h"
#include "ingest/account.h"
#include "ingest/block.h"
#include "ingest/log_plan.h"

#include <stdbool.h>
#include <stddef.h>

/* In:      plan      filled; separator, decimal, columns and stamp format checked again here
 *          sinks, n  called in order for each block; finish only when all went well
 * Out:     account   initialised here; the caller frees it, also after a failure
 * Returns: false with at least one fault of kind input or machine (or what a sink added):
 *          input   a file absent, a directory, empty, header only, binary, listed twice; a column
 *                  absent or twice in a header; bad lines (quotes, NUL bytes, over 1 MiB); no row
 * with a readable stamp, or more than 1 in 100 without; time running backwards in more than 1 row
 * in 100 of a file; a file that adds no row; a column without one number in its range Reading goes
 * on as far as it is of use, so that all faults are listed in one go, with the rows that could be
 * read given to the sinks. Warnings: readings that are not numbers or out of range, short rows,
 * duplicate and single backward stamps; each with its count and the first line. */
bool log_read(const struct log_plan *plan, struct sink *sinks, size_t n,
              struct log_account *account, struct faults *faults);

#endif
