#include "ingest/columns.h"

#include "ingest/rows.h"

bool columns_held(const struct log_plan *plan, size_t file, bool held[CH_LOGGED], bool *timed,
                  struct faults *faults)
{
    struct lines lines;
    struct header header = {0};
    size_t column;
    if (!lines_open_as(&lines, plan->files[file], plan->encoding, false, faults))
        return false;
    bool ok = rows_head(&header, &lines, plan, faults);
    *timed = ok;
    for (size_t i = 0; ok && i < plan->n_time_columns; i++)
        *timed = header_find(&header, plan->time_columns[i], &column) == 1 && *timed;
    for (size_t i = 0; ok && i < plan->n_columns; i++)
        held[i] = header_find(&header, plan->columns[i].name, &column) == 1;
    header_free(&header);
    lines_close(&lines);
    return ok;
}
