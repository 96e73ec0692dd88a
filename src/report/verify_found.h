/* What a comparison with a kept result has found: how much was compared, and of each sort of
 * difference how many there are and the first of them in words.
 */
#ifndef REPORT_VERIFY_FOUND_H
#define REPORT_VERIFY_FOUND_H

#include "base/faults.h"
#include "base/text.h"

#include <stdbool.h>
#include <stddef.h>

enum { VERIFY_SHOWN = 10 }; /* differences of a sort that are told one by one */

/* What is told of one sort of difference. */
struct verify_list {
    size_t n;          /* found */
    struct text lines; /* the first of them, one a line */
};

struct verify {
    size_t n_numbers; /* compared */
    size_t n_texts;
    size_t n_files;
    struct verify_list causes;  /* inputs and program that are not the same */
    struct verify_list numbers; /* that differ, with id, what was and what is */
    struct verify_list rounded; /* that differ at the level of rounding alone */
    struct verify_list texts;
    struct verify_list files; /* of the folder that are not what results.json says, or missing */
};

/* Adds a difference: counts it, and keeps its line if it is one of the first VERIFY_SHOWN. A line
 * is cut at 1,199 bytes. */
void verify_add(struct verify_list *list, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

/* Whether every line could be kept. Returns: false with a fault when memory was short */
bool verify_told(const struct verify *verify, struct faults *faults);

void verify_free(struct verify *verify); /* safe twice, and on {0} */

#endif
