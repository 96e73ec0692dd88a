/* The rows of points tables: their means, where each came from, and which of them are faulty.
 *
 * A faulty row is no end of the work: all are listed in one go, and who asks for it goes on without
 * them. What is merely unlikely can be vouched for by name (`keep` of [points]).
 */
#ifndef POINT_POINTS_ROWS_H
#define POINT_POINTS_ROWS_H

#include "base/faults.h"
#include "base/units.h"
#include "point/means_list.h"
#include "point/points_compared.h"

#include <stdbool.h>
#include <stddef.h>

/* A table typed by hand has tens of rows, points.csv of a long log thousands. Past POINTS_BAD_MAX
 * faults are counted, and their rows known, but not kept. */
enum { POINTS_ROWS_MAX = 20000, POINTS_BAD_MAX = 1000 };

/* Where a row came from, and what was typed. */
struct points_origin {
    char file[FAULT_FILE_SIZE];           /* for faults */
    char group_of_file[MEANS_GROUP_SIZE]; /* the file's name without its ending */
    long line;
    bool named;                          /* by a cell; otherwise by its line */
    bool faulty;                         /* some entry of `bad` is about it */
    bool beyond;                         /* so is a fault that was not kept */
    double typed[CH_COUNT];              /* in the table's own unit; NaN where the cell is empty */
    const struct unit *unit[CH_COUNT];   /* NULL: no such column */
    double eta_typed, x_typed; /* efficiency and T* of a reduced point; NaN where it is empty */
    const struct unit *eta_unit, *x_unit; /* NULL: a plain number, or no such column */
    struct points_compared t_mean, rise, power; /* columns that are only compared */
};

/* What is wrong with a row. */
struct points_bad {
    struct fault fault;
    size_t row;    /* of the means */
    size_t order;  /* in which it was found */
    bool unlikely; /* could be true after all: `keep` of [points] lifts it */
};

struct points_rows {
    struct means_list *means; /* borrowed; one item a row, in the order of the files */
    struct points_origin *origins;
    size_t n, capacity;
    struct points_bad *bad;
    size_t n_bad, bad_capacity;
    size_t n_beyond;         /* faults that were not kept */
    struct points_bad spare; /* takes them */
};

void points_rows_init(struct points_rows *rows, struct means_list *means);
void points_rows_free(struct points_rows *rows);

/* Returns: false with an input fault past POINTS_ROWS_MAX, or a machine fault. */
bool points_rows_add(struct points_rows *rows, const struct means *means,
                     const struct points_origin *origin, struct faults *faults);

/* Adds a fault about a row; the caller fills its parts. Returns: NULL with a machine fault. */
struct fault *points_rows_blame(struct points_rows *rows, size_t row, bool unlikely,
                                struct faults *faults);

/* Gives each row its name. Rows without one are called by their line, behind their group or, with
 * several tables, their file. Names that several groups use (their points 1, 2, 3) get the group in
 * front: 'Blue 1'. A name that stays twice is a fault of the later row. */
bool points_rows_name(struct points_rows *rows, bool several, struct faults *faults);

/* Brings `bad` into the order of files and lines. */
void points_rows_sort(struct points_rows *rows);

/* Lifts what was unlikely about a point. Returns: false if no point has that name. */
bool points_rows_keep(struct points_rows *rows, const char *name);

/* Every faulty row becomes a fault. Returns: whether there was none. */
bool points_rows_refuse(const struct points_rows *rows, struct faults *faults);

/* Takes the faulty rows out of the means; origins and bad stay as they are. */
void points_rows_drop(struct points_rows *rows);

#endif
