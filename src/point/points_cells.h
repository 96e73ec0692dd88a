/* One row's cells of a points table -> means. What is wrong with a cell becomes a fault with its
 * place.
 */
#ifndef POINT_POINTS_CELLS_H
#define POINT_POINTS_CELLS_H

#include "base/faults.h"
#include "point/points_heads.h"
#include "point/points_rows.h"
#include "point/points_text.h"

#include <stdbool.h>
#include <stddef.h>

/* The row in progress. */
struct points_row {
    const char *path;
    const struct points_heads *heads;
    const struct points_text *text;
    const struct points_record *record;
    struct faults *faults; /* of this row alone */
    struct means means;
    struct points_origin origin;
    bool surplus;   /* cells under no head were refused */
    size_t filled;  /* cells that hold anything */
    char first[32]; /* the first of them */
};

/* A fault at a field of a record. */
struct fault *points_fault(const struct points_text *text, const struct points_record *record,
                           const char *path, size_t number, const char *name,
                           struct faults *faults);

/* csv_take: takes a cell into state, a struct points_row. */
void points_cell_take(void *state, size_t number, const char *bytes, size_t n);

#endif
