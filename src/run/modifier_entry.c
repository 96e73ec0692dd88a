#include "run/modifier_entry.h"

#include <stdio.h>

bool modifier_number(const struct modifier_view *view, const char *symbol, const char *label,
                     const struct fit_band *band, size_t place, struct document *doc,
                     struct faults *faults)
{
    char id[160];
    const struct draws_interval *drawn = draws_preferred(view->draws, view->draws_from + place);
    snprintf(id, sizeof id, "%s.%s", view->id, symbol);
    struct number made = {.id = id,
                          .label = (char *)label,
                          .symbol = (char *)symbol,
                          .unit = "",
                          .value = band->value,
                          .u = band->u,
                          .low = drawn != NULL ? drawn->low : band->value - band->half_95,
                          .high = drawn != NULL ? drawn->high : band->value + band->half_95,
                          .dof = band->dof};
    return document_number(doc, &made, faults);
}

struct table *modifier_table(const struct modifier_view *view, const char *suffix,
                             const char *title, const char *note, const struct column *columns,
                             size_t n, struct document *doc, struct faults *faults)
{
    char id[160];
    bool drawn = suffix[0] == '\0';
    snprintf(id, sizeof id, "%s%s", drawn ? view->figure : view->id, suffix);
    struct table *table = document_table(doc, id, title, note, columns, n, faults);
    if (table == NULL)
        return NULL;
    table->place = TABLE_RESULT;
    table->file = table->report = !drawn;
    return table;
}
