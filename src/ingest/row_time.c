#include "ingest/row_time.h"

#include <string.h>

/* A text longer than any stamp is kept cut, and its true length tells. */
static void keep_stamp(char out[STAMP_BYTES_MAX], size_t *out_n, const char *bytes, size_t n)
{
    memcpy(out, bytes, n < STAMP_BYTES_MAX ? n : STAMP_BYTES_MAX);
    *out_n = n;
}

void row_stamp(struct rows *rows, int role, const char *bytes, size_t n)
{
    if (role == ROLE_TIME)
        keep_stamp(rows->stamp, &rows->stamp_n, bytes, n);
    else
        keep_stamp(rows->stamp_second, &rows->stamp_second_n, bytes, n);
}

/* Reads the seconds alone. Returns: false if more than they differs from the minute's stamp. */
static bool same_minute(struct rows *rows, const char *stamp, size_t n)
{
    const struct row_minute *minute = &rows->minute;
    if (!minute->known || n != minute->stamp_n || memcmp(stamp, minute->stamp, n - 2) != 0)
        return false;
    bool two = rows->form->plan->n_time_columns == 2;
    if (two && (rows->stamp_n != minute->first_n ||
                memcmp(rows->stamp, minute->first, minute->first_n) != 0))
        return false;
    return row_seconds(rows, stamp + n - 2);
}

static void keep_minute(struct rows *rows, const char *stamp, size_t n, int seconds)
{
    struct row_minute *minute = &rows->minute;
    minute->known = seconds >= 0;
    if (!minute->known)
        return;
    keep_stamp(minute->stamp, &minute->stamp_n, stamp, n);
    keep_stamp(minute->first, &minute->first_n, rows->stamp, rows->stamp_n);
    minute->start_us = rows->time_us - seconds * US_PER_S;
}

static enum stamp_status read_whole(struct rows *rows, struct stamp_time *time)
{
    const struct stamp_format *format = &rows->form->stamp;
    char joined[2 * STAMP_BYTES_MAX + 1];
    if (rows->form->plan->n_time_columns == 1)
        return stamp_read_time(format, rows->stamp, rows->stamp_n, time);
    if (rows->stamp_n == 0 || rows->stamp_second_n == 0)
        return STAMP_EMPTY;
    memcpy(joined, rows->stamp, rows->stamp_n);
    joined[rows->stamp_n] = ' ';
    memcpy(joined + rows->stamp_n + 1, rows->stamp_second, rows->stamp_second_n);
    return stamp_read_time(format, joined, rows->stamp_n + 1 + rows->stamp_second_n, time);
}

enum stamp_status row_time(struct rows *rows)
{
    bool two = rows->form->plan->n_time_columns == 2;
    const char *last = two ? rows->stamp_second : rows->stamp;
    size_t last_n = two ? rows->stamp_second_n : rows->stamp_n;
    if (rows->stamp_n > STAMP_BYTES_MAX || rows->stamp_second_n > STAMP_BYTES_MAX)
        return STAMP_FORM;
    if (same_minute(rows, last, last_n))
        return STAMP_GOOD;
    struct stamp_time time;
    enum stamp_status status = read_whole(rows, &time);
    if (status != STAMP_GOOD)
        return status;
    rows->time_us = time.time_us;
    if (stamp_is_unset(&rows->form->stamp, time.time_us))
        return STAMP_UNSET;
    rows->again_us = time.again_us;
    keep_minute(rows, last, last_n, time.seconds);
    return status;
}
