/* Thousand: readings of a thousand and more that were written with a sign between the thousands, in
 * a log whose decimal sign is the same: 998, 1.006, 1.011. A spreadsheet does that, and each is a
 * number.
 *
 * Told of a sun sensor (nothing else passes a thousand so often) where a reading of 1 to 1.2
 * follows one of 940 to 1,000, or another such reading, and would be within 60 of it as a thousand:
 * two times at least, some with three decimals, in a log without any number from 1,000 on. A lamp
 * that is switched off near 1,000 W/m2 may show 1.0, hardly twice a figure like that. Our own
 * figures.
 */
#ifndef INGEST_THOUSAND_H
#define INGEST_THOUSAND_H

#include "ingest/block.h"
#include "ingest/log_plan.h"

#include <stdbool.h>
#include <stdint.h>

/* Of one column. */
struct thousand {
    bool looks;      /* it can be told of this column */
    double zero_si;  /* what the number 0 is, */
    double scale_si; /* and what each 1 more adds */
    double before;   /* the number before, as a thousand is meant; NaN: none */
    uint64_t times;  /* that such a run began */
    bool decimals;   /* one of them had a third one */
    uint64_t rows;   /* in such runs */
    struct row_place first;
    double first_before, first_number;
};

void thousand_init(struct thousand *thousand, const struct log_column *column);

/* The next n rows. In: place    of each
 *                      most_si  the highest reading so far
 * They are looked at one by one only if some 4th of them is low and none so far was a thousand. */
void thousand_take(struct thousand *thousand, const double *value_si, const struct row_place *place,
                   size_t n, double most_si);

/* In: most_si  the highest reading of all */
bool thousand_found(const struct thousand *thousand, double most_si);

#endif
