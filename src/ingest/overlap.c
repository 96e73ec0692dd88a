#include "ingest/overlap.h"

#include "ingest/rows.h"

#include <stdlib.h>
#include <string.h>

/* The earlier file, opened at its beginning if it is not open yet. Returns: NULL with a fault, or
 * without one if too many are open. */
static struct overlap_file *open_earlier(struct overlap *overlap, const struct log_account *account,
                                         size_t file, const struct row_form *form,
                                         struct faults *faults)
{
    for (size_t i = 0; i < overlap->n; i++)
        if (overlap->earlier[i].file == file)
            return &overlap->earlier[i];
    if (overlap->n == OVERLAP_FILES_MAX)
        return NULL;
    struct rows *rows = malloc(sizeof *rows);
    if (rows == NULL) {
        fault_memory(faults);
        return NULL;
    }
    if (!rows_open(rows, form, account->files[file].path, false, faults)) {
        free(rows);
        return NULL;
    }
    struct overlap_file *earlier = &overlap->earlier[overlap->n++];
    *earlier = (struct overlap_file){.file = file, .rows = rows};
    return earlier;
}

/* Reads on to the first row that is not before the stamp. Returns: false with a machine fault. */
static bool advance(struct overlap_file *earlier, int64_t raw_us, struct faults *faults)
{
    while (!earlier->ended && !(earlier->row && earlier->rows->time_us >= raw_us)) {
        enum row_status status = rows_next(earlier->rows, faults);
        if (status == ROWS_FAILED)
            return false;
        earlier->ended = status == ROWS_END;
        earlier->row = status == ROWS_ROW;
    }
    return true;
}

static bool same_readings(const struct rows *a, const struct rows *b)
{
    size_t n = a->form->plan->n_columns;
    return memcmp(a->flag, b->flag, n * sizeof a->flag[0]) == 0 &&
           memcmp(a->value_si, b->value_si, n * sizeof a->value_si[0]) == 0;
}

enum overlap_kind overlap_find(struct overlap *overlap, const struct log_account *account,
                               size_t file, const struct rows *rows, int64_t raw_us,
                               struct log_place *where, struct faults *faults)
{
    for (size_t i = file; i-- > 0;) {
        const struct log_file *span = &account->files[i];
        if (span->rows_used == 0 || rows->time_us < span->first_us || rows->time_us > span->last_us)
            continue;
        size_t before = faults->n;
        struct overlap_file *earlier = open_earlier(overlap, account, i, rows->form, faults);
        if (earlier == NULL)
            return faults->n > before ? OVERLAP_FAILED : OVERLAP_NONE;
        if (!advance(earlier, raw_us, faults))
            return OVERLAP_FAILED;
        if (!earlier->row || earlier->rows->time_us != raw_us)
            continue;
        *where = (struct log_place){i, earlier->rows->line.number};
        return same_readings(rows, earlier->rows) ? OVERLAP_SAME : OVERLAP_DIFFERS;
    }
    return OVERLAP_NONE;
}

void overlap_close(struct overlap *overlap)
{
    for (size_t i = 0; i < overlap->n; i++) {
        rows_close(overlap->earlier[i].rows);
        free(overlap->earlier[i].rows);
    }
    memset(overlap, 0, sizeof *overlap);
}
