/* Draft read: logs -> what is known of them.
 */
#ifndef DRAFT_DRAFT_READ_H
#define DRAFT_DRAFT_READ_H

#include "draft/draft_log.h"

/* Samples the logs, finds their clock, guesses and measures the columns, chooses one for each
 * channel and settles what the choices say of each other.
 * In:      logs, n   borrowed as long as the log is
 *          pinned    what the user states of the dialect
 * Returns: false with faults; draft_log_free is due either way. */
bool draft_log_read(struct draft_log *log, const char *const *logs, size_t n,
                    const struct dialect *pinned, struct faults *faults);

#endif
