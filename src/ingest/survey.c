#include "ingest/survey.h"

#include "ingest/head_units.h"
#include "ingest/rows.h"
#include "ingest/stray_file.h"

#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

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
    fault_found(fault, "the header row is not UTF-8; its names were read as Windows-1252");
}

/* The first rows of a file: so many are looked at for a first stamp that runs ahead of them. */
enum { FIRST_ROWS = 32 };

struct first_stamps {
    int64_t time_us[FIRST_ROWS];
    size_t n;
};

/* The first readable stamps of an open file. */
static bool find_first(struct rows *rows, struct first_stamps *first, struct faults *faults)
{
    first->n = 0;
    for (int i = 0; i < SURVEY_ROWS && first->n < FIRST_ROWS; i++) {
        enum row_status status = rows_next(rows, faults);
        if (status == ROWS_FAILED)
            return false;
        if (status == ROWS_END)
            return true;
        if (status == ROWS_ROW)
            first->time_us[first->n++] = rows->time_us;
    }
    return true;
}

/* The first stamp of a file that begins with one that runs ahead. */
static bool pass_strays(const struct row_form *form, const struct first_stamps *first,
                        struct turns_file *start, struct faults *faults)
{
    struct stray stray;
    bool ok = stray_file(&stray, form, form->plan->files[start->index], faults);
    size_t i = 0;
    while (ok && i < stray.n && i + 1 < first->n && stray.found[i].time_us == first->time_us[i])
        i++;
    start->first_us = first->time_us[i];
    start->stray = i > 0;
    stray_free(&stray);
    return ok;
}

static bool settle_first(const struct row_form *form, const struct first_stamps *first,
                         struct turns_file *start, struct faults *faults)
{
    bool falls = false;
    start->first_us = first->n > 0 ? first->time_us[0] : INT64_MAX;
    for (size_t i = 1; i < first->n; i++)
        falls = falls || first->time_us[i] < first->time_us[0];
    return !falls || form->plan->n_files < 2 || !stray_can_tell(form) ||
           pass_strays(form, first, start, faults);
}

static bool look_at(const struct row_form *form, size_t i, struct turns_file *start,
                    struct faults *faults)
{
    struct rows rows;
    struct first_stamps first;
    start->index = i;
    if (listed_twice(form->plan, i, faults) ||
        !rows_open(&rows, form, form->plan->files[i], false, faults))
        return false;
    note_conversion(&rows, faults);
    bool ok = find_first(&rows, &first, faults) && head_units_check(&rows, faults);
    ok = ok && settle_first(form, &first, start, faults);
    if (stamp_since_start(&form->stamp))
        start->first_us = 0; /* counts of different starts: as they are listed */
    rows_close(&rows);
    return ok;
}

static int by_first_stamp(const void *a, const void *b)
{
    const struct turns_file *x = a;
    const struct turns_file *y = b;
    if (x->first_us != y->first_us)
        return x->first_us < y->first_us ? -1 : 1;
    return x->index < y->index ? -1 : 1;
}

bool survey_order(const struct row_form *form, struct turns_file *files, struct faults *faults)
{
    size_t n = form->plan->n_files;
    bool ok = true;
    memset(files, 0, n * sizeof *files);
    for (size_t i = 0; i < n; i++)
        ok = look_at(form, i, &files[i], faults) && ok;
    qsort(files, n, sizeof *files, by_first_stamp);
    return ok;
}

/* The first rows of the log, those of several files in the order of time. */
struct first_rows {
    struct turns turns;
    struct first_file {
        struct rows rows;
        size_t file;
        int left; /* rows that are looked at: a damaged file is not read to its end for this */
        bool row; /* rows holds one */
    } *open[TURNS_FILES_MAX];
    size_t n;
};

static void close_first(struct first_rows *first, size_t i)
{
    rows_close(&first->open[i]->rows);
    turns_close(&first->turns, first->open[i]->file);
    free(first->open[i]);
    first->n--;
    memmove(first->open + i, first->open + i + 1, (first->n - i) * sizeof first->open[0]);
}

/* Reads on to a row in each open file; one without any is closed. Returns: false with a fault. */
static bool fill_first(struct first_rows *first, struct faults *faults)
{
    for (size_t i = 0; i < first->n;) {
        struct first_file *file = first->open[i];
        enum row_status status = file->row ? ROWS_ROW : ROWS_BAD_LINE;
        while (status != ROWS_ROW && status != ROWS_END && file->left-- > 0) {
            status = rows_next(&file->rows, faults);
            if (status == ROWS_FAILED)
                return false;
        }
        file->row = status == ROWS_ROW;
        if (file->row)
            i++;
        else
            close_first(first, i);
    }
    return true;
}

static bool open_first(struct first_rows *first, struct faults *faults)
{
    const struct row_form *form = first->turns.form;
    struct first_file *file = calloc(1, sizeof *file);
    if (file == NULL)
        return fault_memory(faults);
    file->file = turns_open(&first->turns);
    file->left = 10 * SURVEY_ROWS;
    const char *path = form->plan->files[first->turns.files[file->file].index];
    if (!rows_open(&file->rows, form, path, false, faults)) {
        free(file);
        return false;
    }
    first->open[first->n++] = file;
    return true;
}

/* Out: file  the one with the next row; NULL after the last. Returns: false with a fault. */
static bool next_first(struct first_rows *first, struct first_file **file, struct faults *faults)
{
    bool due = true;
    while (due) {
        *file = NULL;
        if (!fill_first(first, faults))
            return false;
        for (size_t i = 0; i < first->n; i++)
            if (*file == NULL || first->open[i]->rows.time_us < (*file)->rows.time_us)
                *file = first->open[i];
        int64_t time_us = *file == NULL ? INT64_MAX : (*file)->rows.time_us;
        if (!turns_due(&first->turns, time_us, &due, faults) ||
            (due && !open_first(first, faults)))
            return false;
    }
    return true;
}

/* The stamps that rise, up to SURVEY_ROWS over all files; counts since the start may fall. */
struct rising {
    int64_t time_us[SURVEY_ROWS];
    size_t n;
};

/* A stamp that falls behind the last one alone takes its place: that one ran ahead. */
static void add_rising(struct rising *rising, int64_t time_us, bool may_fall)
{
    size_t n = rising->n;
    if (n == 0 || time_us > rising->time_us[n - 1] || may_fall)
        rising->time_us[rising->n++] = time_us;
    else if (n == 1 || time_us > rising->time_us[n - 2])
        rising->time_us[n - 1] = time_us;
}

/* Whether one more row is to be looked at, after n of them. */
static bool is_wanted(const struct rising *rising, const struct steps *steps, int n)
{
    return rising->n < SURVEY_ROWS || (n < SURVEY_STEPS_ROWS && !steps_known(steps));
}

static bool collect(struct first_rows *first, struct rising *rising, struct steps *steps,
                    struct faults *faults)
{
    bool may_fall = stamp_since_start(&first->turns.form->stamp); /* a count may begin anew */
    for (int n = 0; is_wanted(rising, steps, n); n++) {
        struct first_file *file;
        if (!next_first(first, &file, faults))
            return false;
        if (file == NULL)
            return true;
        if (rising->n < SURVEY_ROWS)
            add_rising(rising, file->rows.time_us, may_fall);
        steps_row(steps, file->rows.value_si);
        file->row = false;
    }
    return true;
}

static int by_size(const void *a, const void *b)
{
    int64_t x = *(const int64_t *)a;
    int64_t y = *(const int64_t *)b;
    return (x > y) - (x < y);
}

/* 0 if none of them rises. */
static int64_t median_step(struct rising *rising)
{
    size_t steps = 0;
    for (size_t i = 0; i + 1 < rising->n; i++) {
        int64_t step = rising->time_us[i + 1] - rising->time_us[i];
        if (step > 0)
            rising->time_us[steps++] = step;
    }
    if (steps == 0)
        return 0;
    qsort(rising->time_us, steps, sizeof rising->time_us[0], by_size);
    return rising->time_us[(steps - 1) / 2];
}

bool survey_step(const struct row_form *form, struct turns_file *files, int64_t *step_us,
                 struct steps *steps, struct faults *faults)
{
    struct rising rising = {.n = 0};
    struct first_rows first = {.n = 0};
    steps_init(steps, form->plan);
    turns_begin(&first.turns, form, files, form->plan->n_files);
    bool ok = collect(&first, &rising, steps, faults);
    while (first.n > 0)
        close_first(&first, first.n - 1);
    *step_us = ok ? median_step(&rising) : 0;
    return ok;
}
