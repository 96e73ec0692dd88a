/* Reading of the published data sets: '#' comment lines, one header row, then rows of cells. For
 * tests only: a fault in a file fails the running test with file, row and column. */
#ifndef AID_TABLE_H
#define AID_TABLE_H

#include <stddef.h>

struct aid_table {
    char name[128];
    char *text;      /* the file; cells point into it */
    char **cells;    /* (n_rows + 1) * n_columns, the header first */
    size_t n_rows, n_columns;
};

/* In: path from the root of the repository, where the tests run. Fails the test if absent. */
void aid_table_read(struct aid_table *table, const char *path);
void aid_table_free(struct aid_table *table);

/* Cell by row (0-based, header not counted) and name of column; empty cells are "". */
const char *aid_table_text(const struct aid_table *table, size_t row, const char *column);

/* The same as a number; fails the test unless the whole cell is one. */
double aid_table_number(const struct aid_table *table, size_t row, const char *column);

#endif
