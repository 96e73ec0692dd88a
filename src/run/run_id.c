#include "run/run_id.h"

#include <string.h>

/* Whether `name` is `id`, or an id made from it as runs make theirs ("curve_points",
 * "curve.eta0"). */
static bool is_made_from(const char *name, const char *id)
{
    size_t n = strlen(id);
    return strncmp(name, id, n) == 0 && (name[n] == '\0' || name[n] == '_' || name[n] == '.');
}

bool run_id_taken(const struct document *doc, const char *id)
{
    for (size_t i = 0; i < doc->n_tables; i++)
        if (is_made_from(doc->tables[i].id, id))
            return true;
    for (size_t i = 0; i < doc->n_numbers; i++)
        if (is_made_from(doc->numbers[i].id, id))
            return true;
    return false;
}
