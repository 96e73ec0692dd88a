#include "cmd/write_out.h"

#include "base/files.h"
#include "base/windows_path.h"
#include "plots/gnuplot.h"
#include "report/folder.h"
#include "report/json.h"
#include "report/text.h"

#include <limits.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

bool write_out_begin(struct write_out *write, const struct options *options, const char *tail,
                     struct faults *faults)
{
    memset(write, 0, sizeof *write);
    write->options = options;
    progress_line_begin(&write->line, !options->quiet);
    write->progress = progress_line_progress(&write->line);
    write->target = options->output != NULL
                        ? text_copy(options->output, faults)
                        : path_with_tail(options->operands[0], tail, faults);
    if (write->target == NULL)
        return false;
    /* A trailing '/' is habit, not part of the name. */
    size_t n = strlen(write->target);
    while (n > 1 && write->target[n - 1] == '/')
        write->target[--n] = '\0';
    return folder_check(write->target, faults) && (options->no_plots || gnuplot_probe(faults));
}

bool write_out_caution(struct document *doc, struct faults *faults)
{
    static const char caution[] =
        "An idle glazed collector can pass 150–200 °C: burns, steam, pressure, softened foam. "
        "Keep a relief valve piped to a safe place, cover the glass before working on it, never "
        "fill a hot, empty plate with cold water. Glass breaks, heights and mains heaters near "
        "water kill (residual-current protection). Local codes and a licensed practitioner have "
        "the last word; this result is no certification.";
    return document_caution(doc, caution, faults);
}

/* Under Windows' Linux subsystem the report has another name for the browser. */
static bool tell_windows(const struct write_out *write, struct text *out, struct faults *faults)
{
    char folder[PATH_MAX];
    struct windows_host host = windows_host_here();
    if (!host.known || getcwd(folder, sizeof folder) == NULL)
        return true;
    char *seen = windows_from_linux(&host, folder, write->target, faults);
    if (seen == NULL)
        return faults->worst < FAULT_MACHINE;
    text_addf(out, "in Windows: %s\\report.html\n", seen);
    free(seen);
    return true;
}

bool write_out_folder(struct write_out *write, const struct document *doc, struct text *out,
                      struct faults *faults)
{
    const struct options *options = write->options;
    if (faults->worst > FAULT_DATA)
        return false;
    bool ok = report_folder(doc, write->target, !options->no_plots, &write->progress, faults);
    progress_line_end(&write->line);
    if (!ok)
        return false;
    if (options->json)
        return report_json(doc, out, faults);
    if (!options->quiet) {
        report_first_screen(doc, out);
        text_addf(out, "\nreport: %s/report.html (plain text: report.txt)\n", write->target);
        if (!tell_windows(write, out, faults))
            return false;
    }
    return text_ok(out, faults);
}

void write_out_end(struct write_out *write)
{
    progress_line_end(&write->line);
    free(write->target);
    write->target = NULL;
}
