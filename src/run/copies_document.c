/* Points that hold the same readings as an earlier one: a row typed twice, a day copied under another
 * date. Noise makes no two measurements alike in everything. */
#include "run/reduction_document.h"

static bool same_number(const struct means *a, const struct means *b, enum channel channel)
{
    return a->has[channel] == b->has[channel] &&
           (!a->has[channel] || a->mean[channel] == b->mean[channel]);
}

/* What holds no number at all is no copy. */
static bool is_copy(const struct means *a, const struct means *b)
{
    static const enum channel compared[] = {CH_IRRADIANCE, CH_OUTLET, CH_INLET,
                                            CH_AMBIENT,    CH_FLOW,   CH_MASS_FLOW};
    bool any = a->reduced;
    for (size_t i = 0; i < sizeof compared / sizeof compared[0]; i++) {
        if (!same_number(a, b, compared[i]))
            return false;
        any = any || a->has[compared[i]];
    }
    return any && a->reduced == b->reduced && (!a->reduced || (a->eta == b->eta && a->x == b->x));
}

/* Returns: the first earlier point that holds the same; NULL if there is none */
static const struct means *original_of(const struct means_list *list, size_t i)
{
    for (size_t k = 0; k < i; k++)
        if (is_copy(&list->items[k], &list->items[i]))
            return &list->items[k];
    return NULL;
}

bool reduction_copies(const struct reduction *r, struct document *doc, struct faults *faults)
{
    const struct means_list *list = &r->means;
    const struct means *copy = NULL, *original = NULL;
    size_t n = 0;
    for (size_t i = 0; i < list->n; i++) {
        const struct means *found = original_of(list, i);
        if (found == NULL)
            continue;
        if (n++ == 0) {
            copy = &list->items[i];
            original = found;
        }
    }
    return n == 0 ||
           document_finding(doc, FINDING_UNCERTAINTY, true, faults,
                            "%zu of %zu points hold%s to the last digit the readings of an earlier one "
                            "(the first is '%s', as '%s'): copies are no new evidence, and with them "
                            "the interval is too narrow. Leave them out.",
                            n, list->n, n == 1 ? "s" : "", copy->name, original->name);
}
