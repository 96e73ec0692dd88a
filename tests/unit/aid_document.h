/* An invented result document with all that a writer can meet, and small helpers for its tests.
 */
#ifndef TESTS_AID_DOCUMENT_H
#define TESTS_AID_DOCUMENT_H

#include "aid_folder.h"
#include "base/faults.h"
#include "result/document.h"

#include <stdbool.h>
#include <stddef.h>

/* Numbers "curve.eta0" and "curve.a1" with parts and covariance, tables "points" (file, report) and
 * those of the four figures, findings in all places, cautions, facts of a stored curve. */
bool aid_document(struct document *doc, struct faults *faults);

/* Whether tags nest and close, '&' starts an entity, and the bytes are UTF-8. */
bool aid_is_well_formed(const char *xml, size_t n);

/* Puts the stub gnuplot of tests/faults/NAME first (and alone) on PATH; NULL: the PATH of the
 * start. Returns: false if the stub is not there. */
bool aid_gnuplot(const char *name);

#endif
