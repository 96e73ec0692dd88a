#include "cmd/work.h"

#include "base/files.h"
#include "base/units.h"
#include "base/windows_path.h"
#include "cmd/progress_line.h"
#include "plots/gnuplot.h"
#include "report/folder.h"
#include "report/json.h"
#include "report/text.h"
#include "run/reduction_document.h"

#include <limits.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* One piece of work; the document is written whatever the data could give. */
struct work {
    const struct options *options;
    const char *kind;
    work_fill *fill;
    char *target;
    struct reduction *reduction;
    struct document doc;
    struct progress_line line;
    struct progress progress;
    struct text *out;
    struct faults *faults;
};

/* Warnings belong into the report, not only on the terminal. */
static bool tell_warnings(struct work *w)
{
    for (size_t i = 0; i < w->faults->n; i++) {
        const struct fault *fault = &w->faults->items[i];
        if (fault->kind == FAULT_NOTE && text_same(fault->field, UNIT_NOTE_FIELD) &&
            !document_finding(&w->doc, FINDING_DETAIL, false, w->faults, "Units: %s.",
                              fault->found))
            return false;
        if (fault->kind != FAULT_WARNING)
            continue;
        const char *file = path_base(fault->file);
        if (!document_finding(&w->doc, FINDING_DETAIL, true, w->faults, "%s%s%s%s%s.%s%s", file,
                              file[0] == '\0' ? "" : ": ", fault->field,
                              fault->field[0] == '\0' ? "" : ": ", fault->found,
                              fault->hint[0] == '\0' ? "" : " What to do: ", fault->hint))
            return false;
    }
    return true;
}

static bool fill_document(struct work *w)
{
    static const char caution[] =
        "An idle glazed collector can pass 150–200 °C: burns, steam, pressure, softened foam. "
        "Keep a relief valve piped to a safe place, cover the glass before working on it, never "
        "fill a hot, empty plate with cold water. Glass breaks, heights and mains heaters near "
        "water kill (residual-current protection). Local codes and a licensed practitioner have "
        "the last word; this result is no certification.";
    if (!tell_warnings(w) || !reduction_document(w->reduction, &w->doc, w->faults) ||
        !document_caution(&w->doc, caution, w->faults))
        return false;
    return w->fill == NULL || w->fill(w->reduction, &w->doc, w->faults);
}

/* Under Windows' Linux subsystem the report has another name for the browser. */
static bool tell_windows(struct work *w)
{
    char folder[PATH_MAX];
    struct windows_host host = windows_host_here();
    if (!host.known || getcwd(folder, sizeof folder) == NULL)
        return true;
    char *seen = windows_from_linux(&host, folder, w->target, w->faults);
    if (seen == NULL)
        return w->faults->worst < FAULT_MACHINE;
    text_addf(w->out, "in Windows: %s\\report.html\n", seen);
    free(seen);
    return true;
}

/* The folder is written unless an input was wrong or the machine could not. */
static bool write_out(struct work *w)
{
    if (w->faults->worst > FAULT_DATA)
        return false;
    bool ok = report_folder(&w->doc, w->target, !w->options->no_plots, &w->progress, w->faults);
    progress_line_end(&w->line);
    if (!ok)
        return false;
    if (w->options->json)
        return report_json(&w->doc, w->out, w->faults);
    if (!w->options->quiet) {
        report_first_screen(&w->doc, w->out);
        text_addf(w->out, "\nreport: %s/report.html (plain text: report.txt)\n",
                  w->target);
        if (!tell_windows(w))
            return false;
    }
    return text_ok(w->out, w->faults);
}

static bool work_read(struct work *w)
{
    if (!reduction_describe(w->reduction, w->options->operands[0], w->faults) ||
        !reduction_read(w->reduction, w->faults))
        return false;
    const struct stated_text *name = &w->reduction->setup.collector.name;
    const char *title = name->at.given ? name->text : path_base(w->options->operands[0]);
    if (!document_init(&w->doc, w->kind, title, w->faults))
        return false;
    bool filled = fill_document(w);
    bool written = write_out(w);
    document_free(&w->doc);
    return filled && written;
}

static bool prepare(struct work *w, const char *tail)
{
    w->target = w->options->output != NULL
                    ? text_copy(w->options->output, w->faults)
                    : path_with_tail(w->options->operands[0], tail, w->faults);
    w->reduction = malloc(sizeof *w->reduction);
    if (w->reduction == NULL)
        return fault_memory(w->faults);
    reduction_init(w->reduction);
    w->reduction->progress = &w->progress;
    w->reduction->skip_bad = w->options->skip_bad;
    if (w->target == NULL)
        return false;
    /* A trailing '/' is habit, not part of the name. */
    size_t n = strlen(w->target);
    while (n > 1 && w->target[n - 1] == '/')
        w->target[--n] = '\0';
    return folder_check(w->target, w->faults) &&
           (w->options->no_plots || gnuplot_probe(w->faults));
}

bool work_do(const struct options *options, const char *kind, const char *tail, work_fill *fill,
             struct text *out, struct faults *faults)
{
    struct work w = {
        .options = options, .kind = kind, .fill = fill, .out = out, .faults = faults};
    progress_line_begin(&w.line, !options->quiet);
    w.progress = progress_line_progress(&w.line);
    bool good = prepare(&w, tail) && work_read(&w);
    progress_line_end(&w.line);
    if (w.reduction != NULL)
        reduction_free(w.reduction);
    free(w.reduction);
    free(w.target);
    return good;
}
