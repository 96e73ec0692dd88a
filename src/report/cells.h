/* Cells and heads of a table as people read them, in text and in HTML alike.
 */
#ifndef REPORT_CELLS_H
#define REPORT_CELLS_H

#include "result/document.h"

#include <stddef.h>

enum { CELL_SIZE = 400 };

/* The words of a cell; "" for a missing value. Symbols and units are ASCII in the document: the text
 * columns of the ids "coefficient" and "unit" are mapped as in result/typography.h.
 * buffer: CELL_SIZE. Returns: buffer or the cell's own text. */
const char *cell_words(const struct column *column, const struct cell *cell, char *buffer);

/* The head of a column and its unit; buffer: CELL_SIZE. Return: buffer. */
const char *cell_head(const struct column *column, char *buffer);
const char *cell_unit(const struct column *column, char *buffer);

#endif
