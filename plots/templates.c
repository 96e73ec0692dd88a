#include "plots/templates.h"

#include <string.h>

const struct plot_template *plot_template_find(const char *name)
{
    size_t n;
    const struct plot_template *all = plot_templates(&n);
    for (size_t i = 0; i < n; i++)
        if (strcmp(all[i].name, name) == 0)
            return &all[i];
    return NULL;
}
