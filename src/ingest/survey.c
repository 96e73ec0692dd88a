#include "ingest/survey.h"

#include <stdlib.h>
#include <sys/stat.h>

struct file_start {
    size_t index;
    int64_t first_us;
};

static bool listed_twice(const struct log_plan *plan, size_t i, struct faults *faults)
{
    struct stat a;
    struct stat b;
    if (stat(plan->files[i], &a) != 0)
        return false;
    for (size_t k = 0; k < i; k++) {
        if (stat(plan->files[k], &b) != 0 || a.st_dev != b.st_dev || a.st_ino != b.st_ino)
            continue;
        struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(plan->files[i], 0, 0));
        fault_found(fault, "the same file is listed twice");
        fault_hint(fault, "name each log file once in [log]");
        return true;
    }
    return false;
}

static void note_conversion(const struct rows *rows, struct faults *faults)
{
    if (!rows->header.converted)
        return;
    struct place at = fault_at(rows->path, rows->header.line, 0);
    struct fault *fault = fault_new(faults, FAULT_NOTE, at);
    fault_found(fault, "the header row is not UTF-8; its names were read as Latin-1");
}

/* The first readable stamp of an open file. */
static bool find_first(struct rows *rows, int64_t *first_us, struct faults *faults)
{
    *first_us = INT64_MAX;
    for (int i = 0; i < SURVEY_ROWS; i++) {
        enum row_status status = rows_next(rows, faults);
        if (status == ROWS_FAILED)
            return false;
        if (status == ROWS_END)
            return true;
        if (status != ROWS_ROW)
            continue;
        *first_us = rows->time_us;
        return true;
    }
    return true;
}

static bool look_at(const struct row_form *form, size_t i, struct file_start *start,
                    struct faults *faults)
{
    struct rows rows;
    start->index = i;
    if (listed_twice(form->plan, i, faults) ||
        !rows_open(&rows, form, form->plan->files[i], false, faults))
        return false;
    note_conversion(&rows, faults);
    bool ok = find_first(&rows, &start->first_us, faults);
    if (stamp_since_start(&form->stamp))
        start->first_us = 0; /* counts of different starts: as they are listed */
    rows_close(&rows);
    return ok;
}

static int by_first_stamp(const void *a, const void *b)
{
    const struct file_start *x = a;
    const struct file_start *y = b;
    if (x->first_us != y->first_us)
        return x->first_us < y->first_us ? -1 : 1;
    return x->index < y->index ? -1 : 1;
}

bool survey_order(const struct row_form *form, size_t *order, struct faults *faults)
{
    size_t n = form->plan->n_files;
    struct file_start *starts = calloc(n, sizeof *starts);
    bool ok = true;
    if (starts == NULL)
        return fault_memory(faults);
    for (size_t i = 0; i < n; i++)
        ok = look_at(form, i, &starts[i], faults) && ok;
    qsort(starts, n, sizeof *starts, by_first_stamp);
    for (size_t i = 0; i < n; i++)
        order[i] = starts[i].index;
    free(starts);
    return ok;
}

/* The stamps that rise, up to SURVEY_ROWS over all files; counts since the start may fall. */
struct rising {
    int64_t time_us[SURVEY_ROWS];
    size_t n;
};

static bool collect(const struct row_form *form, const char *path, struct rising *rising,
                    struct faults *faults)
{
    struct rows rows;
    enum row_status status = ROWS_ROW;
    if (!rows_open(&rows, form, path, false, faults))
        return false;
    /* A damaged file is not read to its end for this: the first rows tell, or none do. */
    for (int i = 0; i < 10 * SURVEY_ROWS && rising->n < SURVEY_ROWS; i++) {
        status = rows_next(&rows, faults);
        if (status == ROWS_END || status == ROWS_FAILED)
            break;
        bool later = rising->n == 0 || rows.time_us > rising->time_us[rising->n - 1] ||
                     stamp_since_start(&form->stamp); /* a count may begin anew */
        if (status == ROWS_ROW && later)
            rising->time_us[rising->n++] = rows.time_us;
    }
    rows_close(&rows);
    return status != ROWS_FAILED;
}

static int by_size(const void *a, const void *b)
{
    int64_t x = *(const int64_t *)a;
    int64_t y = *(const int64_t *)b;
    return (x > y) - (x < y);
}

bool survey_step(const struct row_form *form, const size_t *order, int64_t *step_us,
                 struct faults *faults)
{
    struct rising rising = {.n = 0};
    *step_us = 0;
    for (size_t i = 0; i < form->plan->n_files && rising.n < SURVEY_ROWS; i++)
        if (!collect(form, form->plan->files[order[i]], &rising, faults))
            return false;
    if (rising.n < 2)
        return true;
    size_t steps = 0;
    for (size_t i = 0; i + 1 < rising.n; i++) {
        int64_t step = rising.time_us[i + 1] - rising.time_us[i];
        if (step > 0)
            rising.time_us[steps++] = step;
    }
    if (steps == 0)
        return true;
    qsort(rising.time_us, steps, sizeof rising.time_us[0], by_size);
    *step_us = rising.time_us[(steps - 1) / 2];
    return true;
}
