/* Complaints about several files of one log.
 */
#ifndef INGEST_COMPLAINT_FILES_H
#define INGEST_COMPLAINT_FILES_H

#include "base/faults.h"
#include "ingest/account.h"
#include "ingest/complaint_first.h"

/* What to do about a file that begins before the end of another one and was not merged with it. */
void hint_files_apart(const struct stamp_troubles *t, struct fault *fault);

/* Tells which files' rows lie between each other's: a note, if any do. */
void note_merged(const struct log_account *account, struct faults *faults);

#endif
