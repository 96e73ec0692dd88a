/* For ingest/screen.c: the rows that can still be flagged, and runs of the same number in them.
 */
#ifndef INGEST_SCREEN_RUN_H
#define INGEST_SCREEN_RUN_H

#include "ingest/screen.h"

#include <stddef.h>

/* One column: the fresh rows from 0 on, the held ones below, the last held one at -1. */
struct screen_view {
    double *value;
    uint8_t *flag;
    bool *marked;
    const int64_t *time_us;
    const struct row_place *place;
    size_t n;
    double *held_value; /* at its end: held_value[-1] is the last one */
    uint8_t *held_flag;
    bool *held_marked;
    const int64_t *held_us;
    const struct row_place *held_place;
    size_t n_held;
};

/* Of the plan's column k. */
struct screen_view screen_look(struct screen *screen, size_t k);

static inline bool view_has(const struct screen_view *view, ptrdiff_t i)
{
    return i < (ptrdiff_t)view->n && i >= -(ptrdiff_t)view->n_held;
}

static inline double view_value(const struct screen_view *view, ptrdiff_t i)
{
    return i >= 0 ? view->value[i] : view->held_value[i];
}

static inline int64_t view_us(const struct screen_view *view, ptrdiff_t i)
{
    return i >= 0 ? view->time_us[i] : view->held_us[i];
}

/* Sets a good reading aside; one that was set aside keeps its flag. */
void view_flag(struct screen_view *view, struct screen_column *to, ptrdiff_t i,
               enum reading_flag flag);

static inline bool screen_is_code(const struct screen_column *to, double value)
{
    return value == to->code_si[0] || value == to->code_si[1];
}

/* The run that ends with the last row held, if it was left open because it may have been a code. */
void screen_settle_run(struct screen_view *view, struct screen_column *to,
                       const struct log_account *account);

/* Runs that end in the fresh rows, or reach their end. */
void screen_judge_runs(struct screen_view *view, struct screen_column *to,
                       const struct log_account *account);

#endif
