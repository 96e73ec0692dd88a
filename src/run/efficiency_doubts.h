/* What no collector does: such results come from a swapped column, a wrong unit or a wrong area. They
 * are given all the same, with a mark, since only the reader can know which it is. Whoever tells a
 * curve tells its doubts.
 */
#ifndef RUN_EFFICIENCY_DOUBTS_H
#define RUN_EFFICIENCY_DOUBTS_H

#include "result/document.h"
#include "run/efficiency.h"
#include "run/reduction.h"

enum { DOUBTED_NAME_SIZE = 128 };

struct doubted {
    const char *who; /* named where several are told of, else NULL */
    const struct reduction *reduction;
    const struct run_section *run;
    const struct efficiency *e; /* NULL: no curve could be fitted; the points alone are looked at */
    const struct point *points;
    size_t n; /* all points, left-out ones too */
};

/* Returns: false only when memory is short */
bool efficiency_doubts(const struct doubted *of, struct document *doc, struct faults *faults);

#endif
