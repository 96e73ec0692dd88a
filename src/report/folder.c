#include "report/folder.h"

#include "base/files.h"
#include "plots/figure.h"
#include "plots/gnuplot.h"
#include "report/html.h"
#include "report/json.h"
#include "report/projector.h"
#include "report/text.h"
#include "result/table_csv.h"

#include <stdlib.h>

/* A figure writes the CSV of its own name. */
static bool figure_has_name(const struct document *doc, const char *id)
{
    for (size_t i = 0; i < doc->n_figures; i++)
        if (text_same(doc->figures[i].id, id))
            return true;
    return false;
}

static bool write_table(const struct table *table, struct folder *folder, struct faults *faults)
{
    struct folder_file file;
    char *name = text_copyf(faults, "%s.csv", table->id);
    bool ok = name && folder_file_open(&file, folder, name, faults);
    free(name);
    if (!ok)
        return false;
    table_csv(table, false, &file.text);
    return folder_file_close(&file, faults);
}

static bool write_tables(const struct document *doc, bool plots, struct folder *folder,
                         struct faults *faults)
{
    for (size_t i = 0; i < doc->n_tables; i++) {
        const struct table *table = &doc->tables[i];
        if (!table->file || (plots && table->n_rows > 0 && figure_has_name(doc, table->id)))
            continue;
        if (!write_table(table, folder, faults))
            return false;
    }
    return true;
}

static bool write_figures(const struct document *doc, const struct progress *progress,
                          struct folder *folder, struct faults *faults)
{
    if (doc->n_figures == 0)
        return true;
    bool png = false;
    if (!gnuplot_ask_png(folder->partial, &png, faults))
        return false;
    for (size_t i = 0; i < doc->n_figures; i++) {
        progress_tell(progress, "drawing", i, doc->n_figures);
        if (!figure_write(&doc->figures[i], doc, png ? PICTURES_SVG_PNG : PICTURES_SVG, folder,
                          faults))
            return false;
    }
    return true;
}

typedef bool writer(const struct document *doc, struct text *out, struct faults *faults);

static bool write_with(writer *write, const char *name, const struct document *doc,
                       struct folder *folder, struct faults *faults)
{
    struct folder_file file;
    if (!folder_file_open(&file, folder, name, faults))
        return false;
    bool ok = write(doc, &file.text, faults);
    return folder_file_close(&file, faults) && ok;
}

static bool write_page(const struct document *doc, bool plots, struct folder *folder,
                       struct faults *faults)
{
    struct folder_file file;
    if (!folder_file_open(&file, folder, "report.html", faults))
        return false;
    bool ok = report_html(doc, plots ? folder : NULL, &file.text, faults);
    return folder_file_close(&file, faults) && ok;
}

static bool write_projector(const struct document *doc, bool plots, struct folder *folder,
                            struct faults *faults)
{
    struct folder_file file;
    if (!plots || !projector_there(doc))
        return true;
    if (!folder_file_open(&file, folder, "projector.html", faults))
        return false;
    bool ok = report_projector(doc, folder, &file.text, faults);
    return folder_file_close(&file, faults) && ok;
}

bool report_folder(const struct document *doc, const char *target, bool plots,
                   const struct progress *progress, struct faults *faults)
{
    struct folder folder = {0};
    if (!folder_open(&folder, target, faults))
        return false;
    bool ok = write_tables(doc, plots, &folder, faults) &&
              (!plots || write_figures(doc, progress, &folder, faults)) &&
              write_with(report_text, "report.txt", doc, &folder, faults) &&
              write_page(doc, plots, &folder, faults) &&
              write_projector(doc, plots, &folder, faults) &&
              write_with(report_json, FOLDER_MARKER, doc, &folder, faults) &&
              folder_commit(&folder, faults);
    folder_abandon(&folder);
    return ok;
}
