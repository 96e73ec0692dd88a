/* Log parts: files of one log that hold a part of its columns each, as of a logger that writes one
 * file for each group of channels. They are read as logs of their own, each [log NAME]; this tells
 * the lines that do it.
 */
#ifndef RUN_LOG_PARTS_H
#define RUN_LOG_PARTS_H

#include "run/setup.h"

/* Whether the files of each log hold the same columns, as far as it is not the reader's to say:
 * only files whose columns complete each other are told here, by one fault.
 * In:      setup  with a [log]
 * Returns: false with an input fault and the lines to add (faults_lines), or a machine fault */
bool log_parts_whole(const struct test_setup *setup, struct faults *faults);

#endif
