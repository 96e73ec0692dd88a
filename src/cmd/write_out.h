/* From a document to a written folder and the first screen: what every verb that leaves results
 * shares.
 */
#ifndef CMD_WRITE_OUT_H
#define CMD_WRITE_OUT_H

#include "base/faults.h"
#include "base/progress.h"
#include "base/text.h"
#include "cmd/options.h"
#include "cmd/progress_line.h"
#include "report/kept.h"
#include "result/document.h"

#include <stdbool.h>

struct write_out {
    const struct options *options;
    char *target; /* NULL with --verify: nothing is written */
    struct kept kept; /* with --verify: what is compared with */
    struct progress_line line;
    struct progress progress; /* for the work in between; points into this struct */
};

/* Before anything is read: settles where the folder goes, that it may, and that gnuplot is there.
 * With --verify: reads the kept result instead.
 * In:      tail  of the default folder: ".check"
 * Returns: false with faults; write_out_end is due all the same */
bool write_out_begin(struct write_out *write, const struct options *options, const char *tail,
                     struct faults *faults);

/* The caution that stands on every result. Returns: false only when memory is short. */
bool write_out_caution(struct document *doc, struct faults *faults);

/* The folder is written unless an input was wrong or the machine could not; then the first screen,
 * or results.json, is added to `out`. With --verify the document is compared with the kept result,
 * and what was found is added; a difference is a data fault, and the only one that is left. */
bool write_out_folder(struct write_out *write, const struct document *doc, struct text *out,
                      struct faults *faults);

void write_out_end(struct write_out *write); /* safe twice */

#endif
