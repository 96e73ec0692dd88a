/* Published data sets, compiled into the program from testdata/published by the Makefile, and their
 * rows: '#' lines name the source, one line of heads, then cells between commas.
 */
#ifndef SELFTEST_PUBLISHED_H
#define SELFTEST_PUBLISHED_H

#include "base/faults.h"

#include <stdbool.h>
#include <stddef.h>

struct published_file {
    const char *name;           /* "nist-norris" */
    const unsigned char *bytes; /* the file, without a closing NUL */
    size_t n;
};

/* All of them. (Generated: build/gen/published.c.) */
const struct published_file *published_files(size_t *n);

/* The files that checks read: the compiled-in ones, or others by a test. */
struct published {
    const struct published_file *files;
    size_t n;
};

/* A data set as cells; they point into `text`. */
struct published_table {
    char *text;
    char **cells; /* (n_rows + 1) * n_columns, the heads first */
    size_t n_rows, n_columns;
};

/* Out:     table  emptied by published_close, also after a failure
 * Returns: false with a machine fault: no such data set, a row of another length, or no memory */
bool published_open(struct published_table *table, const struct published *published,
                    const char *name, struct faults *faults);
void published_close(struct published_table *table);

/* A cell by row (from 0, heads not counted) and head; NULL if there is none. */
const char *published_text(const struct published_table *table, size_t row, const char *head);

/* The same as a number; NaN if there is none, or it is no number. */
double published_number(const struct published_table *table, size_t row, const char *head);

#endif
