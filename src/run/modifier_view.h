/* What the parts of a modifier's document share. */
#ifndef RUN_MODIFIER_VIEW_H
#define RUN_MODIFIER_VIEW_H

#include "result/document.h"
#include "run/modifier.h"
#include "run/reduction.h"

struct modifier_view {
    const struct reduction *reduction;
    const struct run_section *run;
    const struct efficiency *e;
    const struct point *points;
    const struct modifier *m;
    char id[NAME_SIZE + 8]; /* of its numbers, tables and figure */
    double told_deg;        /* the angle that the answer is given for: 50, or the last tested */
};

/* Each adds its part. Returns: false with a machine fault. */
bool modifier_numbers(const struct modifier_view *view, struct document *doc,
                      struct faults *faults);
bool modifier_sentences(const struct modifier_view *view, struct document *doc,
                        struct faults *faults);
bool modifier_tables(const struct modifier_view *view, struct document *doc,
                     struct faults *faults);

#endif
