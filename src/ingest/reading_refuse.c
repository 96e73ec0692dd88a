/* Rows that are not used: each counted once, under what it was refused for. */
#include "ingest/reading.h"

#include "ingest/row_kind.h"
#include "ingest/row_seen.h"

/* Counts n rows of a kind, of which `first` is the first. */
static void count_refused(struct reading *r, enum row_refusal refusal, uint64_t n,
                          const struct first_seen *first)
{
    struct log_account *account = r->account;
    account->refused[refusal] += n;
    if (account->first_refused[refusal].line == 0)
        account->first_refused[refusal] =
            (struct log_place){.file = r->now->file, .line = first->line};
    if (r->now->troubles.count[refusal] == 0)
        r->now->troubles.first[refusal] = *first;
    r->now->troubles.count[refusal] += n;
}

/* The last row of the file; of the log, if none of the file was used. */
static struct row_before row_before(const struct reading *r)
{
    const struct reading_file *now = r->now;
    if (now->last_line > 0)
        return (struct row_before){now->last_us, r->account->files[now->file].path, now->last_line};
    return (struct row_before){r->account->last_us, r->account->files[r->last_file].path,
                               r->last_line};
}

/* A sign that parts the line into as many fields as the header has, where the log's own does
 * not. */
static char other_separator(const struct rows *rows)
{
    char own = rows->form->plan->separator;
    for (const char *sign = ";\t,"; *sign != '\0'; sign++) {
        size_t n = 1;
        for (size_t i = 0; i < rows->line.n; i++)
            n += rows->line.bytes[i] == *sign;
        if (*sign != own && rows->fields < rows->header.n && n >= rows->header.n)
            return *sign;
    }
    return '\0';
}

/* Rows behind a fall run on, and are backward all the same: they are no falls of their own. */
static void note_fall(struct reading *r, const struct rows *rows)
{
    struct falls *falls = &r->now->troubles.falls;
    uint64_t used = r->account->files[r->now->file].rows_used;
    falls->oldest = (falls->n == 0 || falls->oldest) && rows->time_us < r->account->first_us;
    falls->n += falls->n == 0 || rows->time_us <= falls->last_us || used != falls->used;
    falls->last_us = rows->time_us;
    falls->used = used;
}

void reading_refuse(struct reading *r, const struct rows *rows, enum row_refusal refusal)
{
    bool is_first = r->now->troubles.count[refusal] == 0;
    struct first_seen here = {.file = r->now->file, .line = rows->line.number};
    if (is_first)
        here = row_seen_stamp(rows, r->now->file);
    if (is_first && refusal == ROW_BAD_STAMP) {
        r->now->troubles.first_bad = rows->stamp_status;
        r->now->troubles.now_separator = other_separator(rows);
    }
    if (is_first && refusal == ROW_BACKWARD)
        r->now->troubles.backward_us = rows->time_us;
    if (refusal == ROW_BACKWARD)
        note_fall(r, rows);
    if (is_first && refusal == ROW_UNSET)
        r->now->troubles.unset_us = rows->time_us;
    if (is_first && r->any &&
        (refusal == ROW_BACKWARD || refusal == ROW_SKIPPED || refusal == ROW_NO_START ||
         refusal == ROW_BAD_STAMP))
        r->now->troubles.before[refusal] = row_before(r);
    count_refused(r, refusal, 1, &here);
    reading_lose(r, refusal);
}

void reading_refuse_at(struct reading *r, enum row_refusal refusal, long line)
{
    struct first_seen there = {.file = r->now->file, .line = line};
    count_refused(r, refusal, 1, &there);
    reading_lose(r, refusal);
}

void reading_settle_pending(struct reading *r, enum row_refusal refusal)
{
    if (r->now->pending.n == 0)
        return;
    if (refusal == ROW_BAD_STAMP && r->now->troubles.count[ROW_BAD_STAMP] == 0)
        r->now->troubles.first_bad = r->now->pending.status;
    count_refused(r, refusal, r->now->pending.n, &r->now->pending.first);
    reading_lose(r, refusal);
    r->now->pending.n = 0;
}

static void bad_stamp(struct reading *r, const struct rows *rows)
{
    if (rows->other_head && r->now->other_head.line == 0)
        r->now->other_head = row_seen_stamp(rows, r->now->file);
    r->now->pending.over = r->now->pending.over || r->now->pending.n == SUMMARY_ROWS_MAX;
    if (!rows->any_row || !row_has_no_stamp(rows) || r->now->pending.over) {
        reading_settle_pending(r, ROW_BAD_STAMP);
        reading_refuse(r, rows, ROW_BAD_STAMP);
        return;
    }
    if (r->now->pending.n++ > 0)
        return; /* its place is kept */
    r->now->pending.first = row_seen_stamp(rows, r->now->file);
    r->now->pending.status = rows->stamp_status;
}

static void bad_line(struct reading *r, const struct rows *rows)
{
    r->input_ok = false;
    reading_refuse(r, rows, ROW_BAD_LINE);
    if (r->named++ < NAMED_MAX)
        rows_complain(rows, r->faults);
}

void reading_note_swap(struct reading *r, const struct rows *rows)
{
    int64_t meant_us[2];
    int64_t last_us = r->account->last_us;
    enum swap_kind kind = swap_between(&r->form.stamp, last_us, rows->time_us, meant_us);
    if (kind == SWAP_NONE)
        return;
    struct swap_seen *seen =
        rows->time_us < last_us ? &r->now->troubles.mixed : &r->now->troubles.leap;
    if (seen->count++ > 0)
        return;
    seen->kind = kind;
    seen->before =
        (struct row_before){last_us, r->account->files[r->last_file].path, r->last_line};
    seen->now_us = rows->time_us;
    seen->meant_us[0] = meant_us[0];
    seen->meant_us[1] = meant_us[1];
    seen->now = row_seen_stamp(rows, r->now->file);
}

static enum row_refusal refusal_of(enum stamp_status status)
{
    return status == STAMP_SKIPPED ? ROW_SKIPPED
           : status == STAMP_UNSET ? ROW_UNSET
                                   : ROW_BAD_STAMP;
}

void reading_set_aside(struct reading *r, const struct rows *rows, enum row_status status)
{
    switch (status) {
    case ROWS_BAD_LINE:
        bad_line(r, rows);
        break;
    case ROWS_BAD_STAMP:
        if (refusal_of(rows->stamp_status) != ROW_BAD_STAMP)
            reading_refuse(r, rows, refusal_of(rows->stamp_status));
        else
            bad_stamp(r, rows);
        break;
    case ROWS_HEADER_AGAIN:
        /* What stood above the log's own names was no head of the rows. */
        if (rows->names_again) {
            r->now->other_head.line = 0;
            r->now->troubles.names_again++;
        }
        reading_refuse(r, rows, ROW_HEADER_AGAIN);
        break;
    case ROWS_HEAD:
        reading_refuse(r, rows, ROW_HEAD);
        break;
    case ROWS_CUT:
        reading_refuse(r, rows, ROW_CUT);
        break;
    default:
        reading_refuse(r, rows, ROW_FILLED);
    }
}
