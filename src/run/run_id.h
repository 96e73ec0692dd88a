/* Ids of what runs add to a document: a run's numbers, tables and figures bear its name. */
#ifndef RUN_RUN_ID_H
#define RUN_RUN_ID_H

#include "result/document.h"

#include <stdbool.h>

/* Whether a table or number has this id, or one made from it ("ID_points", "ID.eta0"). */
bool run_id_taken(const struct document *doc, const char *id);

#endif
