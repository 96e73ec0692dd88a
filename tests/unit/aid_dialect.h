/* Aid for logs in many clothes: a file of testdata and what is stated of it.
 */
#ifndef AID_DIALECT_H
#define AID_DIALECT_H

#include "ingest/log_plan.h"

#include <stdbool.h>

/* What is left out is as in the usual plan of aid_ingest.h. */
struct dialect {
    const char *file;
    const char *note;   /* what is said of a good file; NULL: nothing */
    const char *second; /* and after it */
    const char *inlet;  /* its column; NULL: 'T in' */
    char separator;
    char decimal;
    enum encoding encoding;
    bool no_names; /* columns by number: 1 to 6 in the order of plain.csv */
    long names_line;
    bool head_unit_wrong; /* of the inlet */
};

/* A plan for folder/file. */
void aid_dialect_plan(struct log_plan *plan, const char *folder, const struct dialect *dialect);

#endif
