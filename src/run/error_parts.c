#include "run/error_parts.h"

#include "base/text.h"
#include "fit/combine.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

struct error_part error_part_of(const struct error_source *row, const double *d, size_t n_coef)
{
    struct error_part part = {.kind = row->kind == ERROR_SESSION ? RANK_SESSION : RANK_CALIBRATION,
                              .id = row->id,
                              .label = row->label,
                              .cure = row->cure};
    memcpy(part.d, d, n_coef * sizeof *d);
    return part;
}

bool error_parts_add(struct error_parts *parts, const struct error_part *part,
                     struct faults *faults)
{
    if (parts->n == parts->room) {
        size_t room = 2 * parts->room + 16;
        struct error_part *grown = realloc(parts->list, room * sizeof *grown);
        if (grown == NULL)
            return fault_memory(faults);
        parts->list = grown;
        parts->room = room;
    }
    parts->list[parts->n++] = *part;
    return true;
}

void error_parts_free(struct error_parts *parts)
{
    free(parts->list);
    *parts = (struct error_parts){0};
}

static struct rank_source *find(struct rank_source *sources, size_t n, const char *id)
{
    for (size_t k = 0; k < n; k++)
        if (text_same(sources[k].id, id))
            return &sources[k];
    return NULL;
}

size_t error_parts_rank(const struct error_parts *parts, size_t n_coef, const double *t,
                        struct rank_source *sources)
{
    size_t n = 0;
    for (size_t k = 0; k < parts->n; k++) {
        const struct error_part *part = &parts->list[k];
        double u = fit_dot(t, part->d, n_coef);
        struct rank_source *seen = find(sources, n, part->id);
        if (seen != NULL)
            seen->u = hypot(seen->u, u);
        else
            sources[n++] =
                (struct rank_source){part->kind, part->label, part->id, part->cure, u};
    }
    return n;
}
