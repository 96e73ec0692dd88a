#include "ingest/stray_file.h"

#include "ingest/rows.h"

#include <stdlib.h>

enum { FIRST_ROWS = 256 };

/* The first rows wait until the step between them is known. */
struct first_rows {
    struct stray_by row[FIRST_ROWS];
    size_t n;
    bool over; /* they have been looked at */
};

bool stray_can_tell(const struct row_form *form)
{
    const struct log_timing *timing = &form->plan->timing;
    return !stamp_since_start(&form->stamp) && timing->rows_per_stamp < 2 && timing->n_sets == 0;
}

static int by_size(const void *a, const void *b)
{
    int64_t x = *(const int64_t *)a;
    int64_t y = *(const int64_t *)b;
    return (x > y) - (x < y);
}

/* Of the steps forward; 0 if there is none. */
static int64_t median_step(const struct first_rows *first)
{
    int64_t step_us[FIRST_ROWS];
    size_t n = 0;
    for (size_t i = 1; i < first->n; i++)
        if (first->row[i].us > first->row[i - 1].us)
            step_us[n++] = first->row[i].us - first->row[i - 1].us;
    if (n == 0)
        return 0;
    qsort(step_us, n, sizeof step_us[0], by_size);
    return step_us[(n - 1) / 2];
}

static void pass_first(struct stray *stray, struct first_rows *first, int64_t gap_us)
{
    stray->step_us = median_step(first);
    stray->gap_us = gap_us > 0 ? gap_us : 3 * stray->step_us;
    first->over = true;
    for (size_t i = 0; i < first->n; i++)
        stray_row(stray, first->row[i].us, first->row[i].line);
}

static void take_row(struct stray *stray, struct first_rows *first, const struct rows *rows)
{
    struct stray_by row = {rows->time_us, rows->line.number};
    if (first->over) {
        stray_row(stray, row.us, row.line);
        return;
    }
    first->row[first->n++] = row;
    if (first->n == FIRST_ROWS)
        pass_first(stray, first, rows->form->plan->gap_us);
}

bool stray_file(struct stray *stray, const struct row_form *form, const char *path,
                struct faults *faults)
{
    struct rows rows;
    struct first_rows first = {.n = 0};
    enum row_status status = ROWS_ROW;
    bool twice = false;
    if (!stray_init(stray, 0, 0))
        return fault_memory(faults);
    if (!rows_open(&rows, form, path, false, faults))
        return false;
    while (!twice && status != ROWS_END && status != ROWS_FAILED && status != ROWS_HEADER_OTHER) {
        status = rows_next(&rows, faults);
        twice = status == ROWS_ROW && rows.again_us != rows.time_us;
        if (status == ROWS_ROW)
            take_row(stray, &first, &rows);
    }
    rows_close(&rows);
    if (status == ROWS_FAILED)
        return false;
    if (!first.over)
        pass_first(stray, &first, form->plan->gap_us);
    bool whole = stray_end(stray) || fault_memory(faults);
    if (twice)
        stray->n = 0;
    return whole;
}
