/* Cells and heads of a table as people read them, in text and in HTML alike. A column without a
 * single word in any row is not shown: a head above nothing looks like a fault.
 */
#ifndef REPORT_CELLS_H
#define REPORT_CELLS_H

#include "result/document.h"

#include <stdbool.h>
#include <stddef.h>

enum { CELL_SIZE = 1000 };

/* The words of a cell; "" for a missing value. Symbols and units are ASCII in the document: the
 * text columns of the ids "coefficient", "of" and "unit" are mapped as in result/typography.h,
 * other texts as in result/prose.h. buffer: CELL_SIZE. Returns: buffer or the cell's own text. */
const char *cell_words(const struct column *column, const struct cell *cell, char *buffer);

/* Whether a column is shown: the first always, others if a row has anything in them. */
bool cell_column_shown(const struct table *table, size_t i);

/* The head of a column and its unit; buffer: CELL_SIZE. Return: buffer. */
const char *cell_head(const struct column *column, char *buffer);
const char *cell_unit(const struct column *column, char *buffer);

#endif
