/* The parts of a number's uncertainty as a report lists them: ranked, small ones as one.
 */
#ifndef REPORT_PARTS_H
#define REPORT_PARTS_H

#include "base/faults.h"
#include "result/document.h"

#include <stddef.h>

/* From here on degrees of freedom make no difference to any printed digit: coverage is 1.96. */
enum { DOF_MANY = 1000 };

/* One line of the list. */
struct part_line {
    const char *label; /* borrowed from the number, or "all others together" */
    double u;          /* standard uncertainty, > 0 */
    double share;      /* of the sum of squares, 0 to 1 */
};

struct part_lines {
    struct part_line *lines;
    size_t n;
};

/* Lists the parts of at least 1 % of the square, largest first; equal ones keep their order.
 * Smaller ones stand together at the end; a single smaller one stands itself. Parts that are not
 * finite or 0 are left out. results.json and the CSV of sources have them all.
 * Returns: false when memory is short. The caller frees with part_lines_free. */
bool part_lines_make(struct part_lines *list, const struct number *number, struct faults *faults);
void part_lines_free(struct part_lines *list);

#endif
