/* The result folder: everything that a document holds, written whole or not at all.
 *
 *   ID.csv                     every table with `file` set
 *   NAME.gp NAME.csv NAME.svg NAME.png  every figure (without pictures: none of the four; without PNG
 *                              where gnuplot cannot draw it)
 *   report.txt report.html projector.html
 *   results.json               last: the marker of a complete folder
 */
#ifndef REPORT_FOLDER_H
#define REPORT_FOLDER_H

#include "base/faults.h"
#include "base/progress.h"
#include "result/document.h"

#include <stdbool.h>

/* progress is told while the figures are drawn; NULL: nobody.
 * Writes and swaps in the folder. `target` was checked before the run (folder_check); gnuplot was
 * probed unless `plots` is false.
 * Returns: false with a machine or usage fault; nothing is left behind and an earlier result stays.
 */
bool report_folder(const struct document *doc, const char *target, bool plots,
                   const struct progress *progress, struct faults *faults);

#endif
