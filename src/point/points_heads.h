/* The heads of a points table: which column means what, in which unit.
 *
 * A head is a word of point/points_table.h, or its symbol (t_in), with its unit in brackets, in
 * parentheses, or behind it; or the units stand in a row of their own below the heads.
 */
#ifndef POINT_POINTS_HEADS_H
#define POINT_POINTS_HEADS_H

#include "base/faults.h"
#include "base/text.h"
#include "base/units.h"
#include "point/points_table.h"

#include <stdbool.h>
#include <stddef.h>

enum { POINTS_HEADS_MAX = 64, POINTS_HEAD_SIZE = 96 };

/* What a column of the file means. */
struct points_head {
    const struct points_column *column; /* NULL: a column of the user's own, passed over */
    const struct unit *unit;            /* NULL where it carries none */
    char unit_text[POINTS_HEAD_SIZE];   /* as written; "" if none was */
};

struct points_heads {
    struct points_head of[POINTS_HEADS_MAX];
    size_t n; /* columns of the file, at most POINTS_HEADS_MAX */
    long line;
    bool reduced; /* efficiency and T* instead of the five means */
};

/* Takes one head apart. Out: head; its unit is found as far as one is written and right. Returns:
 * false where no column of ours is named. */
bool points_head_read(const char *bytes, struct points_head *head);

/* The column of ours that a head resembles without being it; NULL if none. Out: word, the head
 * without its unit. */
const char *points_head_nearest(const char *bytes, char word[POINTS_HEAD_SIZE]);

/* Whether the table has that column; a mass flow stands for the flow. */
bool points_heads_have(const struct points_heads *heads, enum points_field field,
                       enum channel channel);

/* Which kind of table it is. Out: reduced. missing: the words of what is lacking ("'outlet',
 * 'flow'"), appended. */
void points_heads_judge(struct points_heads *heads, struct text *missing);

#endif
