/* A number and a table as a modifier's run enters them into its document: under its own id, with
 * the interval that counts, in their place.
 */
#ifndef RUN_MODIFIER_ENTRY_H
#define RUN_MODIFIER_ENTRY_H

#include "fit/bands.h"
#include "result/document.h"
#include "run/modifier_view.h"

#include <stdbool.h>
#include <stddef.h>

/* A number without a unit. Its interval is the drawn one where that counts, else the band's.
 * In:      symbol  also the end of its id
 *          place   among the modifier's drawn numbers (run/modifier_draws.h)
 * Returns: false with a machine fault */
bool modifier_number(const struct modifier_view *view, const char *symbol, const char *label,
                     const struct fit_band *band, size_t place, struct document *doc,
                     struct faults *faults);

/* A table: its id ends with the suffix, and it is written and printed. Without a suffix ("") it
 * holds a figure's values, under the figure's id.
 * In:      columns  n
 * Returns: the table, which is the document's; NULL with a machine fault */
struct table *modifier_table(const struct modifier_view *view, const char *suffix,
                             const char *title, const char *note, const struct column *columns,
                             size_t n, struct document *doc, struct faults *faults);

#endif
