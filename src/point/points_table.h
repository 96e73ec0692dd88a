/* Points tables: CSV of points typed by hand, or written by an earlier reduction -> means.
 *
 * One table of columns serves reading and writing, so that points.csv comes back to the last digit.
 * Heads are `word [unit]` (point/points_heads.h), in any order and any unit that base/units.h
 * knows:
 *
 *   point, group, start, end, session, readings         (all optional)
 *   irradiance, ambient, inlet, outlet, flow            (needed; flow is a volume flow, or mass
 *                                                        flow stands for it)
 *   wind, diffuse, incidence, heat, drift               (optional)
 *   u irradiance, u ambient ..., u drift                (optional: standard uncertainty of the mean
 *                                                        from reading errors alone)
 *   mean, rise, power                                   (optional: only compared with the others)
 *
 * or, for reduced points, irradiance, efficiency, T* and optionally u efficiency, u T*. In a table
 * that has the five needed means these four are results and are not read back.
 *
 * How a file writes its rows is point/points_text.h; what is wrong with rows is kept in
 * point/points_rows.h, so that a reduction can go on without them.
 */
#ifndef POINT_POINTS_TABLE_H
#define POINT_POINTS_TABLE_H

#include "base/faults.h"
#include "base/hash.h"
#include "base/units.h"
#include "point/means_list.h"
#include "point/points_rows.h"

#include <stdbool.h>
#include <stddef.h>

enum points_field {
    POINTS_NAME,
    POINTS_GROUP,
    POINTS_START,
    POINTS_END,
    POINTS_SESSION,
    POINTS_READINGS,
    POINTS_MEAN,   /* of the row's channel */
    POINTS_U,      /* standard uncertainty of that mean */
    POINTS_T_MEAN, /* (inlet + outlet)/2, as somebody worked it out: compared */
    POINTS_RISE,   /* outlet - inlet, likewise */
    POINTS_POWER,  /* heat by flow and rise, likewise; run/points_check.h compares it */
    POINTS_DRIFT,
    POINTS_U_DRIFT,
    POINTS_ETA,
    POINTS_X,
    POINTS_U_ETA,
    POINTS_U_X
};

struct points_column {
    const char *head;  /* without unit */
    const char *label; /* for people */
    enum points_field field;
    enum channel channel;
    enum dimension dimension; /* DIM_NONE: the head carries no unit */
    bool difference;
    int digits; /* for people */
};

/* The table, in the order in which points.csv is written. */
const struct points_column *points_columns(size_t *n);

/* The head with the SI unit: "inlet [degC]". size >= 64. Returns: out. */
const char *points_head(const struct points_column *column, char *out, size_t size);

/* Appends a file's points; a faulty row is added too (as far as it goes) and named in rows->bad.
 * In:      several  more tables belong to the test: names of rows without one carry their group or
 * file Out:     hex      SHA-256 of the file Returns: false with the faults of the file as a whole:
 * unreadable, a head that is unknown (nearest name), twice, without or with a wrong unit, a needed
 * column missing, no row. */
bool points_load(struct points_rows *rows, const char *path, bool several, char hex[HASH_HEX_SIZE],
                 struct faults *faults);

/* One table by itself: loaded, its names settled, its rows compared (point/points_slips.h), every
 * faulty row a fault. */
bool points_read(struct means_list *list, const char *path, char hex[HASH_HEX_SIZE],
                 struct faults *faults);

#endif
