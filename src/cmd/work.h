/* What check, reduce and predict share: from a description's path to a written folder.
 */
#ifndef CMD_WORK_H
#define CMD_WORK_H

#include "base/faults.h"
#include "base/text.h"
#include "cmd/options.h"
#include "result/document.h"
#include "run/reduction.h"

#include <stdbool.h>

/* Says what the reduction found, before anything is added. */
typedef bool work_describe(const struct reduction *reduction, struct document *doc,
                           struct faults *faults);

/* Adds to the document; its failure with data faults alone still leaves a folder. */
typedef bool work_fill(const struct options *options, const struct reduction *reduction,
                       struct document *doc, struct faults *faults);

struct work_kind {
    const char *kind; /* of the document: "check", "efficiency" */
    const char *tail; /* of the default folder: ".check" */
    work_describe *describe; /* NULL: nothing */
    work_fill *fill;
    bool untested; /* a construction alone will do */
};

/* Reads the test, has the document written, writes the folder, appends the first screen.
 * Returns: false with faults */
bool work_do(const struct options *options, const struct work_kind *kind, struct text *out,
             struct faults *faults);

#endif
