/* The summary rows that spreadsheets leave below a points table, Average or Max: no points. Pupils
 * and groups have such names too, so the word alone does not tell.
 */
#ifndef POINT_POINTS_SUMMARY_H
#define POINT_POINTS_SUMMARY_H

#include "base/faults.h"
#include "point/points_heads.h"
#include "point/points_text.h"

#include <stdbool.h>
#include <stddef.h>

/* What a row is, by its words and where it stands. */
enum points_sort { POINTS_POINT, POINTS_SUMMARY, POINTS_NAMED_LIKE_ONE };

enum { POINTS_SUMMARY_WORDS = 28 };

struct points_summary {
    size_t below;                          /* summaries stand at this record or below */
    size_t n_beside[POINTS_SUMMARY_WORDS]; /* rows that begin with the word and have another name */
    size_t end_beside[POINTS_SUMMARY_WORDS]; /* one past the last of them */
};

/* Looks where summaries can stand: below the last row that cannot be one.
 * In:      first   the first record below the heads
 * Returns: false with a machine fault */
bool points_summary_find(struct points_summary *summary, const struct points_text *text,
                         const struct points_heads *heads, size_t first, struct faults *faults);

/* What the row of a record is.
 * In:      first   its first cell that holds anything
 *          own     its cell in the column of the points' names; "" if it is empty or there is none
 * Returns: POINTS_SUMMARY if it begins with a word like Average and stands below all points;
 *          POINTS_NAMED_LIKE_ONE if points stand below it; POINTS_POINT without such a word, or
 *          where it is not the name and several rows begin with it: that is a group. */
enum points_sort points_summary_sort(const struct points_summary *summary, size_t record,
                                     const char *first, const char *own);

#endif
