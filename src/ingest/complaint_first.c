#include "ingest/complaint_first.h"

#include <inttypes.h>
#include <stdio.h>

const char *count_text(uint64_t count, char out[32])
{
    char plain[24];
    int n = snprintf(plain, sizeof plain, "%" PRIu64, count);
    char *to = out;
    for (int i = 0; i < n; i++) {
        if (i > 0 && (n - i) % 3 == 0)
            *to++ = ',';
        *to++ = plain[i];
    }
    *to = '\0';
    return out;
}

const char *complain_share(uint64_t count, uint64_t of, char out[96])
{
    char a[32];
    char b[32];
    snprintf(out, 96, "%s of %s rows%s", count_text(count, a), count_text(of, b),
             count > 1 ? "; this is the first" : "");
    return out;
}

const char *complain_time_names(const struct log_plan *plan, char out[FAULT_FIELD_SIZE])
{
    size_t length = 0;
    for (size_t i = 0; i < plan->n_time_columns && length < FAULT_FIELD_SIZE; i++)
        length += (size_t)snprintf(out + length, FAULT_FIELD_SIZE - length, "%s'%s'",
                                   i == 0 ? "" : " + ", plan->time_columns[i]);
    return out;
}

struct fault *complain_at_first(const struct stamp_troubles *t, enum row_refusal refusal,
                                enum fault_kind kind, struct faults *faults)
{
    char names[FAULT_FIELD_SIZE];
    const struct first_seen *first = &t->first[refusal];
    struct fault *fault = fault_new(faults, kind, fault_at(t->path, first->line, first->column));
    fault_field(fault, "field %zu %s", first->field, complain_time_names(t->plan, names));
    return fault;
}

enum fault_kind complain_kind(uint64_t count, const struct stamp_troubles *t)
{
    return count * 100 > t->rows_read || t->rows_used == 0 ? FAULT_INPUT : FAULT_WARNING;
}
