/* Rows of points tables that were wrong: what was done without, and what was kept on somebody's
 * word. */
#include "base/files.h"
#include "run/reduction_document.h"

#include <stdio.h>
#include <string.h>

/* Named one by one on the first screen up to this many. */
enum { NAMED_MOST = 5 };

static bool bad_table(const struct reduction *r, struct document *doc, struct faults *faults)
{
    const struct points_rows *rows = &r->points_rows;
    struct column columns[] = {
        {.id = "file", .label = "file", .unit = "", .kind = CELL_TEXT},
        {.id = "line", .label = "line", .unit = "", .kind = CELL_NUMBER},
        {.id = "where", .label = "where", .unit = "", .kind = CELL_TEXT},
        {.id = "found", .label = "found", .unit = "", .kind = CELL_TEXT},
        {.id = "expected", .label = "expected", .unit = "", .kind = CELL_TEXT},
    };
    struct table *table = document_table(doc, "bad_rows", "Rows left aside as faulty",
                                         "By --skip-bad; nothing of them is in the result.",
                                         columns, sizeof columns / sizeof columns[0], faults);
    if (table == NULL)
        return false;
    table->file = table->report = true;
    table->place = TABLE_POINTS;
    for (size_t i = 0; i < rows->n_bad; i++) {
        const struct fault *fault = &rows->bad[i].fault;
        struct cell cells[] = {cell_text(path_base(fault->file)), cell_number((double)fault->line),
                               cell_text(fault->field), cell_text(fault->found),
                               cell_text(fault->expected)};
        if (!table_row(table, cells, faults))
            return false;
    }
    return true;
}

static bool say_bad(const struct reduction *r, struct document *doc, struct faults *faults)
{
    const struct points_rows *rows = &r->points_rows;
    size_t named = 0, bad = 0;
    struct text names = {0};
    for (size_t i = 0; i < rows->n_bad; i++) {
        const struct points_bad *one = &rows->bad[i];
        if ((i > 0 && rows->bad[i - 1].row == one->row) || named++ >= NAMED_MOST)
            continue;
        /* "group 'Blue', point '1', field 5 'outlet'": the field is of no matter here. */
        const char *end = strstr(one->fault.field, ", field ");
        int length = end != NULL ? (int)(end - one->fault.field) : (int)strlen(one->fault.field);
        text_addf(&names, "%s%.*s%s%s, line %ld (%s)", names.length > 0 ? "; " : "", length,
                  one->fault.field, length > 0 ? " in " : "", path_base(one->fault.file),
                  one->fault.line, one->fault.found);
    }
    for (size_t i = 0; i < rows->n; i++)
        bad += rows->origins[i].faulty;
    if (bad > NAMED_MOST)
        text_addf(&names, "; and %zu more", bad - NAMED_MOST);
    bool good = text_ok(&names, faults) &&
                document_finding(doc, FINDING_WINDOWS, true, faults,
                                 "Without %zu of %zu rows, which are faulty (--skip-bad): %s.", bad,
                                 rows->n, text_string(&names));
    text_free(&names);
    return good && bad_table(r, doc, faults);
}

bool reduction_bad_rows(const struct reduction *r, struct document *doc, struct faults *faults)
{
    const struct stated_list *keep = &r->setup.points.keep;
    for (size_t i = 0; i < keep->n; i++)
        if (!document_finding(doc, FINDING_WINDOWS, true, faults,
                              "Kept on the description's word although it looks mistyped: %s.",
                              keep->items[i].text))
            return false;
    return r->points_rows.n_bad == 0 || say_bad(r, doc, faults);
}
