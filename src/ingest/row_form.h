/* Row form: a plan made ready for reading rows: its stamps' pattern, its missing markers and each
 * column's way to SI.
 */
#ifndef INGEST_ROW_FORM_H
#define INGEST_ROW_FORM_H

#include "base/faults.h"
#include "domain/channel.h"
#include "ingest/log_plan.h"
#include "ingest/stamp.h"

#include <stdbool.h>
#include <stddef.h>

enum { MARKERS_MAX = 32 };

/* A plan made ready for reading; borrows from it. */
struct row_form {
    const struct log_plan *plan;
    struct stamp_format stamp;
    const char *word_marker[MARKERS_MAX]; /* missing markers that are no numbers */
    size_t n_words;
    double number_marker[MARKERS_MAX];
    size_t n_numbers;
    struct row_scale {
        double gain; /* value in SI = (gain * number + add) * scale + offset, see base/units.h */
        double add;
        double scale;
        double offset;
        double least_si;
        double most_si;
    } scale[CH_LOGGED]; /* by column of the plan */
};

/* Returns: false with an input fault: time format, separator equal to the decimal sign, no time
 * column, a column or a channel twice, a channel that no log carries, too many markers. */
bool row_form_init(struct row_form *form, const struct log_plan *plan, struct faults *faults);

/* The value in SI of a column's number. */
static inline double row_scaled(const struct row_scale *to, double number)
{
    return (to->gain * number + to->add) * to->scale + to->offset;
}

static inline bool row_in_range(const struct row_scale *to, double value_si)
{
    return value_si >= to->least_si && value_si <= to->most_si;
}

#endif
