/* Tables of docs/description.md, made from the program's own tables.
 */
#ifndef TESTS_AID_PAGE_H
#define TESTS_AID_PAGE_H

#include "base/text.h"

#include <stdbool.h>

enum { AID_PAGE_NAME = 64 };

/* Appends the table of a name: "sections", "keys KIND",
 * "keys KIND NAME" (of a kind with and without a name), "channels", "kinds", "rules", "sources",
 * "criteria", "criteria sources", "units", "points". Returns: false if there is none of that name.
 */
bool aid_page_table(const char *name, struct text *out);

/* Appends the page with every stretch between "<!-- table: NAME -->" and "<!-- end -->" made anew.
 * Out:     tables    how many there were
 *          name      of the last one looked at, cut to fit
 * Returns: false if that one is no table or is not closed */
bool aid_page_renew(const char *page, struct text *out, int *tables, char name[AID_PAGE_NAME]);

#endif
