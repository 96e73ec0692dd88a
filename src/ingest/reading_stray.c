/* Rows whose stamps run ahead of the rows around them: told by a second look at their file, once it
 * gives reason to, and never used. */
#include "ingest/reading.h"

#include "ingest/stray_file.h"

#include <stdlib.h>

static int by_line(const void *key, const void *item)
{
    long line = *(const long *)key;
    const struct stray_found *found = item;
    return (line > found->line) - (line < found->line);
}

static const struct stray_found *find_stray(const struct reading_file *file, long line)
{
    const struct stray *stray = &file->stray;
    if (stray->n == 0)
        return NULL;
    return bsearch(&line, stray->found, stray->n, sizeof *stray->found, by_line);
}

/* A last row that stands alone is borne out by a file that begins there. */
static bool goes_on_elsewhere(const struct reading *r, const struct stray_found *last)
{
    for (size_t i = 0; i < r->turns.n; i++)
        if (i != r->now->turn && last->time_us <= r->turns.files[i].first_us &&
            r->turns.files[i].first_us - last->time_us <= r->account->gap_us)
            return true;
    return false;
}

bool reading_ask_strays(struct reading *r)
{
    struct reading_file *now = r->now;
    if (now->asked || !stray_can_tell(&r->form))
        return true;
    now->asked = true;
    const char *path = r->account->files[now->file].path;
    if (!stray_file(&now->stray, &r->form, path, r->faults))
        return false;
    struct stray *stray = &now->stray;
    if (stray->n > 0 && stray->found[stray->n - 1].after.line == 0 &&
        goes_on_elsewhere(r, &stray->found[stray->n - 1]))
        stray->n--;
    return true;
}

/* Counts a stray row, and keeps what is to be said of the first. */
static void refuse(struct reading *r, const struct stray_found *found)
{
    struct stamp_troubles *troubles = &r->now->troubles;
    reading_refuse_at(r, ROW_STRAY, found->line);
    troubles->stray_leaps += found->first;
    if (found->after.line == 0)
        troubles->lone = *found;
    else if (troubles->stray.line == 0)
        troubles->stray = *found;
}

bool reading_is_stray(struct reading *r)
{
    struct reading_file *now = r->now;
    const struct stray_found *found = find_stray(now, now->rows.line.number);
    if (found == NULL)
        return false;
    refuse(r, found);
    return true;
}

/* A flag's first reading is not that of a row that was taken back. */
static void forget_first(struct reading *r, struct row_place place)
{
    for (size_t k = 0; k < r->plan->n_columns; k++)
        for (size_t flag = 0; flag < FLAG_COUNT; flag++) {
            struct log_place *first = &r->account->channels[r->list[k]].first[flag];
            if (first->line == (long)place.line && first->file == place.file) {
                *first = (struct log_place){0};
                r->alike[k] = true;
            }
        }
}

/* What the newest row is now, and the last of the file. */
static void settle_newest(struct reading *r)
{
    struct log_account *account = r->account;
    struct reading_file *now = r->now;
    struct log_file *file = &account->files[now->file];
    const struct screen_rows *rows = &r->queue.rows;
    size_t n = rows->block.n;
    r->any = n > 0 || r->queue.passed;
    account->last_us = n > 0 ? rows->times_us[n - 1] : r->queue.passed_us;
    r->clock_us = account->last_us;
    if (n > 0) {
        r->last_file = rows->place[n - 1].file;
        r->last_line = (long)rows->place[n - 1].line;
    }
    now->last_line = 0;
    for (size_t i = n; i-- > 0 && now->last_line == 0;)
        if (rows->place[i].file == now->file) {
            now->last_us = file->last_us = rows->times_us[i];
            now->last_line = (long)rows->place[i].line;
        }
    if (file->rows_used == 0)
        file->first_us = file->last_us = 0;
}

bool reading_take_back(struct reading *r)
{
    struct screen_rows *rows = &r->queue.rows;
    struct reading_file *now = r->now;
    bool any = false;
    if (!reading_ask_strays(r))
        return false;
    for (size_t i = 0; now->stray.n > 0 && i < rows->block.n;) {
        struct row_place place = rows->place[i];
        const struct stray_found *found =
            place.file == now->file ? find_stray(now, (long)place.line) : NULL;
        if (found == NULL) {
            i++;
            continue;
        }
        screen_rows_move(rows, i, rows, i + 1, rows->block.n - i - 1);
        rows->block.n--;
        forget_first(r, place);
        r->account->rows_used--;
        r->account->files[now->file].rows_used--;
        refuse(r, found);
        any = true;
    }
    if (any)
        settle_newest(r);
    return true;
}

bool reading_has_strays_ahead(const struct reading_file *file)
{
    return file->stray.n > 0 && file->stray.found[file->stray.n - 1].line > file->rows.line.number;
}

bool reading_end_strays(struct reading *r)
{
    const struct reading_file *now = r->now;
    if (now->last_line == 0 || now->leapt_line != now->last_line || now->leapt_us <= STRAY_LATE_US)
        return true;
    return reading_take_back(r);
}
