#include "cmd/write_out.h"

#include "base/files.h"
#include "base/windows_path.h"
#include "cmd/colour.h"
#include "plots/gnuplot.h"
#include "report/folder.h"
#include "report/json.h"
#include "report/text.h"
#include "report/verify.h"

#include <limits.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* A trailing '/' is habit, not part of the name. */
static void cut_slashes(char *name)
{
    size_t n = strlen(name);
    while (n > 1 && name[n - 1] == '/')
        name[--n] = '\0';
}

static bool begin_folder(struct write_out *write, const char *tail, struct faults *faults)
{
    const struct options *options = write->options;
    write->target = options->output != NULL
                        ? text_copy(options->output, faults)
                        : path_with_tail(options->operands[0], tail, faults);
    if (write->target == NULL)
        return false;
    cut_slashes(write->target);
    return folder_check(write->target, faults) && (options->no_plots || gnuplot_probe(faults));
}

/* What is written, and what comes out on standard output, is for work that writes. */
static bool begin_verify(struct write_out *write, struct faults *faults)
{
    const struct options *options = write->options;
    const char *other = options->output != NULL ? "output" : options->json ? "json" : NULL;
    if (other != NULL) {
        struct fault *fault = fault_new(faults, FAULT_USAGE, fault_at(NULL, 0, 0));
        fault_found(fault, "'--%s' cannot be had together with '--verify', which writes no result",
                    other);
        fault_hint(fault, "leave one of them out");
        return false;
    }
    char *name = text_copy(options->verify, faults);
    if (name == NULL)
        return false;
    cut_slashes(name);
    bool good = kept_read(&write->kept, name, faults);
    free(name);
    return good;
}

bool write_out_begin(struct write_out *write, const struct options *options, const char *tail,
                     struct faults *faults)
{
    memset(write, 0, sizeof *write);
    write->options = options;
    progress_line_begin(&write->line, !options->quiet);
    write->progress = progress_line_progress(&write->line);
    return options->verify != NULL ? begin_verify(write, faults)
                                   : begin_folder(write, tail, faults);
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

static bool compare_kept(struct write_out *write, const struct document *doc, struct text *out,
                         struct faults *faults)
{
    struct verify verify = {0};
    char words[VERIFY_WORDS];
    progress_line_end(&write->line);
    if (!kept_of_kind(&write->kept, doc->kind, faults))
        return false;
    bool good = verify_result(&verify, &write->kept, doc, faults);
    if (good && !write->options->quiet)
        verify_tell(&verify, write->kept.folder, colour_wanted(), out);
    if (good) /* what the runs could not give is no fault here: the kept result must say the same */
        faults_init(faults);
    if (good && !verify_same(&verify)) {
        struct fault *fault = fault_new(faults, FAULT_DATA, fault_at(write->kept.folder, 0, 0));
        fault_found(fault, "%s", verify_words(&verify, words, sizeof words));
        good = false;
    }
    verify_free(&verify);
    return good && text_ok(out, faults);
}

bool write_out_folder(struct write_out *write, const struct document *doc, struct text *out,
                      struct faults *faults)
{
    const struct options *options = write->options;
    if (faults->worst > FAULT_DATA)
        return false;
    if (options->verify != NULL)
        return compare_kept(write, doc, out, faults);
    bool ok = report_folder(doc, write->target, !options->no_plots, &write->progress, faults);
    progress_line_end(&write->line);
    if (!ok)
        return false;
    if (options->json)
        return report_json(doc, out, faults);
    if (!options->quiet) {
        if (colour_wanted())
            report_first_screen_painted(doc, out);
        else
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
    kept_free(&write->kept);
    free(write->target);
    write->target = NULL;
}
