/* The gnuplot templates, compiled into the program from plots/NAME.gp by the Makefile.
 */
#ifndef PLOTS_TEMPLATES_H
#define PLOTS_TEMPLATES_H

#include <stddef.h>

struct plot_template {
    const char *name;           /* "curve" */
    const unsigned char *bytes; /* the file, without a closing NUL */
    size_t n;
};

/* All of them, in the order of their names; `n` is set. (Generated: build/gen/templates.c.) */
const struct plot_template *plot_templates(size_t *n);

/* Returns: NULL if there is no template of that name. */
const struct plot_template *plot_template_find(const char *name);

#endif
