#include "ingest/row_time.h"

#include <string.h>

/* A text longer than any stamp is kept cut, and its true length tells. */
static void keep_stamp(char out[STAMP_BYTES_MAX], size_t *out_n, const char *bytes, size_t n)
{
    memcpy(out, bytes, n < STAMP_BYTES_MAX ? n : STAMP_BYTES_MAX);
    *out_n = n;
}

void row_stamp(struct rows *rows, size_t part, const char *bytes, size_t n)
{
    keep_stamp(rows->part[part].text, &rows->part[part].n, bytes, n);
}

/* Reads the seconds alone. Returns: false if more than they differs from the minute's stamp. */
static bool same_minute(struct rows *rows)
{
    const struct row_minute *minute = &rows->minute;
    size_t n_parts = rows->form->plan->n_time_columns;
    const struct row_part *first = &rows->part[0], *last = &rows->part[n_parts - 1];
    if (!minute->known || last->n != minute->stamp_n ||
        memcmp(last->text, minute->stamp, last->n - 2) != 0)
        return false;
    if (n_parts > 1 &&
        (first->n != minute->first_n || memcmp(first->text, minute->first, first->n) != 0))
        return false;
    return row_seconds(rows, last->text + last->n - 2);
}

/* A stamp of more than two columns has none: its minute stands in columns between. */
static void keep_minute(struct rows *rows, int seconds)
{
    struct row_minute *minute = &rows->minute;
    size_t n_parts = rows->form->plan->n_time_columns;
    const struct row_part *first = &rows->part[0], *last = &rows->part[n_parts - 1];
    minute->known = seconds >= 0 && n_parts <= 2;
    if (!minute->known)
        return;
    keep_stamp(minute->stamp, &minute->stamp_n, last->text, last->n);
    keep_stamp(minute->first, &minute->first_n, first->text, first->n);
    minute->start_us = rows->time_us - seconds * US_PER_S;
}

/* All parts, a blank between. */
static enum stamp_status read_whole(const struct rows *rows, struct stamp_time *time)
{
    char joined[TIME_COLUMNS_MAX * (STAMP_BYTES_MAX + 1)];
    size_t n = 0, n_parts = rows->form->plan->n_time_columns, empty = 0;
    for (size_t i = 0; i < n_parts; i++) {
        const struct row_part *part = &rows->part[i];
        if (part->n > STAMP_BYTES_MAX)
            return STAMP_FORM;
        empty += part->n == 0;
        if (i > 0)
            joined[n++] = ' ';
        memcpy(joined + n, part->text, part->n);
        n += part->n;
    }
    if (empty > 0)
        return empty < n_parts ? STAMP_PART : STAMP_EMPTY;
    return stamp_read_time(&rows->form->stamp, joined, n, time);
}

enum stamp_status row_time(struct rows *rows)
{
    if (same_minute(rows))
        return STAMP_GOOD;
    struct stamp_time time;
    enum stamp_status status = read_whole(rows, &time);
    if (status != STAMP_GOOD)
        return status;
    rows->time_us = time.time_us;
    if (stamp_is_unset(&rows->form->stamp, time.time_us))
        return STAMP_UNSET;
    rows->again_us = time.again_us;
    keep_minute(rows, time.seconds);
    return status;
}
