/* What check and reduce share: from a description's path to a written folder.
 */
#ifndef CMD_WORK_H
#define CMD_WORK_H

#include "base/faults.h"
#include "base/text.h"
#include "cmd/options.h"
#include "result/document.h"
#include "run/reduction.h"

#include <stdbool.h>

/* Reads the test, lets `fill` write the document, writes the folder, appends the first screen.
 * In:      kind   of the document: "check" or "efficiency"
 *          tail   of the default folder: ".check"
 *          fill   adds to a document that already says what the reduction found; its failure with
 *                 data faults alone still leaves a folder; NULL: nothing to add
 * Returns: false with faults */
typedef bool work_fill(const struct reduction *reduction, struct document *doc,
                       struct faults *faults);
bool work_do(const struct options *options, const char *kind, const char *tail, work_fill *fill,
             struct text *out, struct faults *faults);

#endif
