/* Head rows: which line of a log names its columns, which states their units, and where the
 * readings begin.
 *
 * Loggers put station and program above the names, units and kinds of averaging below them. The
 * rows of readings are known first: half of their fields or more are numbers or times. Of the lines
 * above them the one with as many fields as the rows have and with most words that mean something
 * names the columns.
 */
#ifndef DRAFT_HEAD_ROWS_H
#define DRAFT_HEAD_ROWS_H

#include "draft/dialect.h"
#include "draft/excerpt.h"

#include <stdbool.h>
#include <stddef.h>

struct head_rows {
    char **name; /* n; UTF-8, outer blanks cut; of several equal ones "T (1)", "T (2)" */
    bool *twin;  /* n; whether the name was numbered, since others are the same; NULL: none is */
    char **unit; /* n, of the units row, "" where it says nothing; NULL: there is no such row */
    size_t n;
    bool none;        /* no line names them: they are called '1', '2', ... */
    long line;        /* 0 for none; of the names, in its file */
    long unit_line;   /* 0: none */
    size_t names_at;  /* line of the excerpt */
    size_t n_above;   /* lines above the names that are neither blank nor comments */
    size_t n_below;   /* lines between the names and the first row, the units row included */
    size_t first_row; /* line of the excerpt at which the readings begin; its n if there are none */
};

/* Returns: false with an input fault (more than
 *          CSV_FIELDS_MAX columns, a quote left open in the names) or a machine fault */
bool head_rows_find(const struct excerpt *excerpt, const struct dialect *dialect,
                    struct head_rows *rows, struct faults *faults);
void head_rows_free(struct head_rows *rows); /* safe twice */

/* Columns of that name. */
size_t head_rows_count(const struct head_rows *rows, const char *name);

/* Whether several columns of the log have that name, so that they are numbered. */
bool head_rows_twice(const struct head_rows *rows, const char *name);

/* Whether a word of a name says "time", "record" or the like. */
bool head_rows_time_word(const char *name);

bool head_rows_same(const struct head_rows *a, const struct head_rows *b);

#endif
