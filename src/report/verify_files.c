#include "report/verify_files.h"

#include "base/files.h"
#include "plots/figure.h"
#include "report/html.h"
#include "report/text.h"
#include "result/table_csv.h"

#include <stdlib.h>
#include <string.h>

static const size_t LARGEST = (size_t)1 << 30;

/* bytes: what the file should hold. */
static bool compare_file(struct verify *v, const struct kept *kept, const char *name,
                         const struct text *bytes, struct faults *faults)
{
    struct text found = {0};
    char *path = text_copyf(faults, "%s/%s", kept->folder, name);
    bool good = path != NULL && text_ok(bytes, faults);
    v->n_files++;
    if (good && !file_exists(path)) {
        verify_add(&v->files, "%s: is missing", name);
    } else if (good && file_read(path, LARGEST, &found, faults)) {
        if (found.length != bytes->length ||
            memcmp(text_string(&found), text_string(bytes), found.length) != 0)
            verify_add(&v->files, "%s: is not what results.json says", name);
    } else {
        good = false;
    }
    text_free(&found);
    free(path);
    return good;
}

static bool compare_table_file(struct verify *v, const struct kept *kept, const struct table *table,
                               const char *id, bool for_gnuplot, struct faults *faults)
{
    struct text csv = {0};
    char *name = text_copyf(faults, "%s.csv", id);
    table_csv(table, for_gnuplot, &csv);
    bool good = name != NULL && compare_file(v, kept, name, &csv, faults);
    text_free(&csv);
    free(name);
    return good;
}

static bool compare_figure(struct verify *v, const struct kept *kept, const struct document *doc,
                           const struct figure *figure, struct faults *faults)
{
    const struct table *table = document_find_table(doc, figure->table_id);
    struct text script = {0};
    if (table == NULL || table->n_rows == 0)
        return true;
    char *name = text_copyf(faults, "%s.gp", figure->id);
    bool good = name != NULL &&
                compare_table_file(v, kept, table, figure->id, true, faults) &&
                figure_script(figure, table, FIGURE_BY_HAND, &script, faults) &&
                compare_file(v, kept, name, &script, faults);
    text_free(&script);
    free(name);
    return good;
}

static bool is_figure(const struct document *doc, const struct table *table)
{
    for (size_t i = 0; i < doc->n_figures; i++)
        if (text_same(doc->figures[i].id, table->id))
            return table->n_rows > 0;
    return false;
}

/* Whether the folder was written with figures: the first that there must be is there. */
static bool has_pictures(const struct kept *kept, const struct document *doc, bool *pictures,
                         struct faults *faults)
{
    *pictures = false;
    for (size_t i = 0; i < doc->n_figures && !*pictures; i++) {
        char *path = text_copyf(faults, "%s/%s.svg", kept->folder, doc->figures[i].id);
        if (path == NULL)
            return false;
        *pictures = file_exists(path);
        free(path);
    }
    return true;
}

/* The page holds the pictures: taken as they stand in the folder. */
static bool compare_reports(struct verify *v, const struct kept *kept, const struct document *doc,
                            bool pictures, struct faults *faults)
{
    struct text bytes = {0};
    struct folder folder = {.partial = kept->folder, .target = kept->folder};
    bool good = report_text(doc, &bytes, faults) &&
                compare_file(v, kept, "report.txt", &bytes, faults);
    text_clear(&bytes);
    good = good && report_html(doc, pictures ? &folder : NULL, &bytes, faults) &&
           compare_file(v, kept, "report.html", &bytes, faults);
    text_free(&bytes);
    return good;
}

bool verify_files(struct verify *verify, const struct kept *kept, const struct document *doc,
                  struct faults *faults)
{
    bool pictures;
    if (!has_pictures(kept, doc, &pictures, faults))
        return false;
    for (size_t i = 0; i < doc->n_tables; i++) {
        const struct table *table = &doc->tables[i];
        if (table->file && !(pictures && is_figure(doc, table)) &&
            !compare_table_file(verify, kept, table, table->id, false, faults))
            return false;
    }
    for (size_t i = 0; pictures && i < doc->n_figures; i++)
        if (!compare_figure(verify, kept, doc, &doc->figures[i], faults))
            return false;
    return compare_reports(verify, kept, doc, pictures, faults);
}
