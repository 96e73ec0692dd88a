/* A dozen words that a reader of a report may not know, explained in a sentence each.
 */
#ifndef REPORT_GLOSSARY_H
#define REPORT_GLOSSARY_H

#include <stddef.h>

struct glossary_row {
    const char *term;  /* with its symbol, if it has one */
    const char *words; /* a sentence; UTF-8 */
};

/* In the order in which a reader meets them. Returns: constant rows, *n of them. */
const struct glossary_row *glossary(size_t *n);

#endif
