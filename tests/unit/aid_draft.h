/* Aid for tests of drafts: a folder, logs in it, and what is looked for in a text.
 */
#ifndef AID_DRAFT_H
#define AID_DRAFT_H

#include "base/faults.h"
#include "base/text.h"

#include <stdbool.h>

enum { AID_DRAFT_PATH = 128 };

/* Before all tests of a program and after them. */
int aid_draft_begin(void **state);
int aid_draft_end(void **state);

const char *aid_draft_folder(void);
const char *aid_draft_path(const char *name, char out[AID_DRAFT_PATH]);

/* Drafts from one log of these bytes, or from two. Out: as draft_write; faults initialised here */
bool aid_draft(const char *first, const char *second, struct text *understood,
               struct text *description, struct faults *faults);

/* The row `name` of a table is not as it should be. */
void aid_draft_fail(const char *name, const char *what, const char *found);
void aid_draft_want(const char *name, const char *whole, const char *part);

#endif
