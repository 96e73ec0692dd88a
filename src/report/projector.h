/* projector.html: the answer in three lines and its figure, large and in high contrast, for a
 * class.
 */
#ifndef REPORT_PROJECTOR_H
#define REPORT_PROJECTOR_H

#include "base/faults.h"
#include "base/files.h"
#include "base/text.h"
#include "result/document.h"

#include <stdbool.h>

/* Whether there is anything to show: a figure of the answer (TABLE_ANSWER). */
bool projector_there(const struct document *doc);

/* Appends the page: title, at most three sentences of the answer (doubts first), the first figure
 * of the answer. It stands alone, as report.html does.
 * In:      pictures  the open folder that holds the figure's SVG
 * Returns: false when memory is short or the picture cannot be read. */
bool report_projector(const struct document *doc, const struct folder *pictures, struct text *out,
                      struct faults *faults);

#endif
