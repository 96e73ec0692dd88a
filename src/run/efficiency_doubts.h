/* What no collector does: such results come from a swapped column, a wrong unit or a wrong area.
 * They are given all the same, with a mark, since only the reader can know which it is. Whoever
 * tells a curve tells its doubts.
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

/* The one that is the plainest cause, a unit that changed, comes first.
 * Returns: false only when memory is short */
bool efficiency_doubts(const struct doubted *of, struct document *doc, struct faults *faults);

/* Whether a curve says nothing: the 95 % interval of its eta0 lies wholly below 0 or beyond 1.5, or
 * holds both less than 0 and more than 1 while in the middle of what was tested, too, the curve is
 * not known to half of the sunshine. (Points of hot water alone leave eta0 open, but not the
 * curve.) A mean without a slope has no eta0 and always says something. Out: low, high   that
 * interval, where there is an eta0 */
bool efficiency_says_nothing(const struct efficiency *e, double *low, double *high);

/* The same as a data fault, without a place. Returns: false where it says nothing */
bool efficiency_refuse_nothing(const struct efficiency *e, bool from_log, struct faults *faults);

#endif
