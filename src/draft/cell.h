/* Cell: what one field of a log looks like, before anything is known of its column.
 */
#ifndef DRAFT_CELL_H
#define DRAFT_CELL_H

#include <stdbool.h>
#include <stddef.h>

enum cell_kind {
    CELL_EMPTY,
    CELL_NUMBER,
    CELL_DATE,    /* three numbers with the same sign between them; a month's name in the middle */
    CELL_HOUR,    /* hours and minutes */
    CELL_STAMP,   /* both */
    CELL_MISSING, /* a text that loggers and spreadsheets write for "no reading": "NAN", "#N/A" */
    CELL_TEXT
};

/* In: string of n bytes that ends in NUL, outer blanks cut; the decimal sign of its numbers */
enum cell_kind cell_kind(const char *string, size_t n, char decimal);

/* Whether the log's reader takes it for "no reading" without being told. */
bool cell_missing_unsaid(const char *string);

/* A number with a sign between its thousands ("1.234,5" or "1,234.5"), which is not read. */
bool cell_has_thousands(const char *string, char decimal);

#endif
