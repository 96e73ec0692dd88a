/* The other files of a kept folder, beside results.json: each is written again, into memory, and
 * must be the same bytes. Pictures are not drawn again; where there are any, the page is held
 * against one that takes them as they stand in the folder.
 */
#ifndef REPORT_VERIFY_FILES_H
#define REPORT_VERIFY_FILES_H

#include "base/faults.h"
#include "report/kept.h"
#include "report/verify_found.h"
#include "result/document.h"

#include <stdbool.h>

/* In:      doc     the result computed anew, the same as the kept one
 * Out:     verify  files that are missing or other bytes are added; n_files counted
 * Returns: false when memory is short or a file of the folder cannot be read */
bool verify_files(struct verify *verify, const struct kept *kept, const struct document *doc,
                  struct faults *faults);

#endif
