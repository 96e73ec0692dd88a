/* Several tested collectors beside each other: `etabench compare`.
 */
#ifndef STUDY_COMPARE_H
#define STUDY_COMPARE_H

#include "base/faults.h"
#include "result/document.h"
#include "study/tested.h"

#include <stdbool.h>
#include <stddef.h>

enum { COMPARE_MOST = 8 };

/* Reads and fits every test, brings all to one basis, and says in a document how each of the others
 * differs from the first, where that is real, and what the tests had in common.
 * In:      paths  n descriptions, 1 <= n <= COMPARE_MOST, that hold 2 to COMPARE_MOST collectors: tests
 *                 and curves out of publications
 *          how    they are read
 * Out:     doc    initialised here; document_free is due whatever comes back
 * Returns: false with faults; the document is worth writing if none is worse than a data fault */
bool compare_tests(char *const *paths, size_t n, const struct tested_how *how,
                   struct document *doc, struct faults *faults);

#endif
