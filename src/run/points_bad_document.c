/* Rows of points tables that were wrong: what was done without, and what was kept on somebody's
 * word. */
#include "base/files.h"
#include "run/reduction_document.h"

#include <stdio.h>
#include <string.h>

/* Named one by one on the first screen up to this many. */
enum { NAMED_MOST = 5 };

/* Tests whose rows stand in one table. names NULL: it is one test, and goes without saying. */
struct of_tests {
    const struct reduction *const *reductions;
    const char *const *names;
    size_t n;
};

static bool add_rows(const struct of_tests *tests, size_t i, struct table *table,
                     struct faults *faults)
{
    const struct points_rows *rows = &tests->reductions[i]->points_rows;
    for (size_t k = 0; k < rows->n_bad; k++) {
        const struct fault *fault = &rows->bad[k].fault;
        struct cell cells[] = {cell_text(tests->names == NULL ? "" : tests->names[i]),
                               cell_text(path_base(fault->file)),
                               cell_number((double)fault->line),
                               cell_text(fault->field),
                               cell_text(fault->found),
                               cell_text(fault->expected)};
        if (!table_row(table, cells + (tests->names == NULL), faults))
            return false;
    }
    return true;
}

static bool bad_table(const struct of_tests *tests, struct document *doc, struct faults *faults)
{
    struct column columns[] = {
        {.id = "collector", .label = "collector", .unit = "", .kind = CELL_TEXT},
        {.id = "file", .label = "file", .unit = "", .kind = CELL_TEXT},
        {.id = "line", .label = "line", .unit = "", .kind = CELL_NUMBER},
        {.id = "where", .label = "where", .unit = "", .kind = CELL_TEXT},
        {.id = "found", .label = "found", .unit = "", .kind = CELL_TEXT},
        {.id = "expected", .label = "expected", .unit = "", .kind = CELL_TEXT},
    };
    size_t from = tests->names == NULL ? 1 : 0;
    struct table *table = document_table(doc, "bad_rows", "Rows left aside as faulty",
                                         "By --skip-bad; nothing of them is in the result.",
                                         columns + from, sizeof columns / sizeof columns[0] - from,
                                         faults);
    if (table == NULL)
        return false;
    table->file = table->report = true;
    table->place = TABLE_POINTS;
    bool good = true;
    for (size_t i = 0; good && i < tests->n; i++)
        good = add_rows(tests, i, table, faults);
    return good;
}

/* "point '5' in points.csv, line 7 (outlet is 677.4 degC); ...", and how many more there are. */
static void name_rows(const struct points_rows *rows, size_t bad, struct text *names)
{
    size_t named = 0;
    for (size_t i = 0; i < rows->n_bad; i++) {
        const struct points_bad *one = &rows->bad[i];
        if ((i > 0 && rows->bad[i - 1].row == one->row) || named++ >= NAMED_MOST)
            continue;
        /* "group 'Blue', point '1', field 5 'outlet'": the field is of no matter here. */
        const char *end = strstr(one->fault.field, ", field ");
        int length = end != NULL ? (int)(end - one->fault.field) : (int)strlen(one->fault.field);
        text_addf(names, "%s%.*s%s%s, line %ld (%s)", names->length > 0 ? "; " : "", length,
                  one->fault.field, length > 0 ? " in " : "", path_base(one->fault.file),
                  one->fault.line, one->fault.found);
    }
    if (bad > NAMED_MOST)
        text_addf(names, "; and %zu more", bad - NAMED_MOST);
}

/* In: of   "" or " of 'Plate A'" */
static bool say_bad(const struct reduction *r, const char *of, struct document *doc,
                    struct faults *faults)
{
    const struct points_rows *rows = &r->points_rows;
    size_t bad = 0;
    struct text names = {0};
    for (size_t i = 0; i < rows->n; i++)
        bad += rows->origins[i].faulty;
    name_rows(rows, bad, &names);
    bool good = text_ok(&names, faults) &&
                document_finding(doc, FINDING_WINDOWS, true, faults,
                                 "Without %zu of %zu rows%s, which %s faulty (--skip-bad): %s.",
                                 bad, rows->n, of, bad == 1 ? "is" : "are", text_string(&names));
    text_free(&names);
    return good;
}

static bool say_kept(const struct reduction *r, const char *of, struct document *doc,
                     struct faults *faults)
{
    const struct stated_list *keep = &r->setup.points.keep;
    for (size_t i = 0; i < keep->n; i++)
        if (!document_finding(doc, FINDING_WINDOWS, true, faults,
                              "Kept%s on the description's word although it looks mistyped: %s.",
                              of, keep->items[i].text))
            return false;
    return true;
}

static bool tell(const struct of_tests *tests, struct document *doc, struct faults *faults)
{
    bool any = false;
    for (size_t i = 0; i < tests->n; i++) {
        const struct reduction *r = tests->reductions[i];
        char of[200] = "";
        if (tests->names != NULL)
            snprintf(of, sizeof of, " of '%.180s'", tests->names[i]);
        if (!say_kept(r, of, doc, faults) ||
            (r->points_rows.n_bad > 0 && !say_bad(r, of, doc, faults)))
            return false;
        any |= r->points_rows.n_bad > 0;
    }
    return !any || bad_table(tests, doc, faults);
}

bool reduction_bad_rows(const struct reduction *r, struct document *doc, struct faults *faults)
{
    struct of_tests tests = {&r, NULL, 1};
    return tell(&tests, doc, faults);
}

bool reductions_bad_rows(const struct reduction *const *reductions, const char *const *names,
                         size_t n, struct document *doc, struct faults *faults)
{
    struct of_tests tests = {reductions, names, n};
    return tell(&tests, doc, faults);
}
