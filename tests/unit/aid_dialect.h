/* Aid for logs in many clothes: a file of testdata and what is stated of it.
 */
#ifndef AID_DIALECT_H
#define AID_DIALECT_H

#include "ingest/log_plan.h"

/* What is left out is as in the usual plan of aid_ingest.h. */
struct dialect {
    const char *file;
    const char *note;  /* what is said of a good file; NULL: nothing */
    const char *inlet; /* its column; NULL: 'T in' */
    char separator;
    char decimal;
    enum encoding encoding;
};

/* A plan for folder/file. */
void aid_dialect_plan(struct log_plan *plan, const char *folder, const struct dialect *dialect);

#endif
