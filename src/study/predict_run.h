/* A prediction as a result document: what the construction should give, beside what was measured,
 * how hot it gets, and what changes would do. The writers know nothing of it.
 */
#ifndef STUDY_PREDICT_RUN_H
#define STUDY_PREDICT_RUN_H

#include "base/faults.h"
#include "result/document.h"
#include "run/reduction.h"

#include <stdbool.h>
#include <stddef.h>

enum { PREDICT_CHANGES_MOST = 5 };

/* In:      reduction  read (reduction_read); its construction need not be whole
 *          changes, n as given on the command line (domain/construction.h, construction_change); at
 * most PREDICT_CHANGES_MOST Out:     doc        filled Returns: false with input faults
 * (construction incomplete or out of range, a change that is none), data faults (a balance that
 * does not close) or a machine fault */
bool predict_run(const struct reduction *reduction, const char *const *changes, size_t n,
                 struct document *doc, struct faults *faults);

#endif
