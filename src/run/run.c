#include "run/run.h"

#include "run/reduction_document.h"

#include <stdlib.h>

static const struct run_row rows[] = {
    {RUN_EFFICIENCY, "efficiency", run_efficiency},
    {RUN_ZERO_CHECK, "zero check", run_zero_check},
    {RUN_TOGETHER, "thermometers together", run_thermometers_together},
    {RUN_BUCKET, "bucket and stopwatch", run_bucket_stopwatch},
    {RUN_MODIFIER, "modifier", run_modifier},
};

const struct run_row *run_row(enum run_kind kind)
{
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        if (rows[i].kind == kind)
            return &rows[i];
    return NULL;
}

static bool has_doubt(const struct document *doc, size_t from)
{
    for (size_t i = from; i < doc->n_findings; i++)
        if (doc->findings[i].place == FINDING_CANNOT && doc->findings[i].doubt)
            return true;
    return false;
}

/* Why a run could not give what was asked for stands in the report too, unless the run has said it.
 */
static bool tell_why(const struct run_section *run, struct document *doc, size_t findings,
                     size_t from, struct faults *faults)
{
    if (has_doubt(doc, findings))
        return true;
    for (size_t i = from; i < faults->n; i++) {
        const struct fault *fault = &faults->items[i];
        if (fault->kind != FAULT_DATA)
            continue;
        bool needs = fault->expected[0] != '\0';
        bool hints = fault->hint[0] != '\0';
        if (!document_finding(doc, FINDING_CANNOT, true, faults,
                              "Run '%s' gives no result: %s.%s%s%s%s%s%s", run->name, fault->found,
                              needs ? " Needed: " : "", fault->expected, needs ? "." : "",
                              hints ? " What to do: " : "", fault->hint, hints ? "." : ""))
            return false;
    }
    return true;
}

/* For programs: the document's status is the first reason. */
static bool note_hindrance(const struct run_section *run, struct document *doc, size_t from,
                           struct faults *faults)
{
    for (size_t i = from; i < faults->n; i++) {
        if (faults->items[i].kind != FAULT_DATA)
            continue;
        char *why = text_copyf(faults, "run '%s': %s", run->name, faults->items[i].found);
        bool good = why != NULL && document_hindered(doc, why, faults);
        free(why);
        return good;
    }
    return true;
}

/* What the numerics refuse knows no line: it is the run's that asked. */
static void place_faults(const char *path, const struct run_section *run, size_t from,
                         struct faults *faults)
{
    for (size_t i = from; i < faults->n; i++)
        if (faults->items[i].kind == FAULT_DATA && faults->items[i].file[0] == '\0')
            fault_place(&faults->items[i], fault_at(path, run->head.line, 0));
}

/* Several runs of one test: what each adds is told apart by its name. */
static bool label(char **text, const char *name, struct faults *faults)
{
    char *labelled = text_copyf(faults, "[%s] %s", name, *text);
    if (labelled == NULL)
        return false;
    free(*text);
    *text = labelled;
    return true;
}

static bool label_run(const struct run_section *run, struct document *doc, size_t findings,
                      size_t tables, size_t numbers, struct faults *faults)
{
    bool good = true;
    for (size_t i = findings; i < doc->n_findings && good; i++)
        good = label(&doc->findings[i].text, run->name, faults);
    for (size_t i = tables; i < doc->n_tables && good; i++)
        good = label(&doc->tables[i].title, run->name, faults);
    for (size_t i = numbers; i < doc->n_numbers && good; i++)
        good = label(&doc->numbers[i].label, run->name, faults);
    return good;
}

/* How many runs of its kind a test has: only curves stand beside each other unnamed. */
static bool has_company(const struct reduction *reduction, const struct run_section *run)
{
    size_t n = 0;
    for (size_t i = 0; i < reduction->setup.n_runs; i++)
        n += reduction->setup.runs[i].kind == run->kind;
    return n > 1 && !run_is_check(run);
}

static bool perform(const struct reduction *reduction, bool checks_alone, struct document *doc,
                    struct faults *faults)
{
    bool good = true;
    for (size_t i = 0; i < reduction->setup.n_runs; i++) {
        const struct run_section *run = &reduction->setup.runs[i];
        size_t findings = doc->n_findings, tables = doc->n_tables, numbers = doc->n_numbers;
        size_t from = faults->n;
        bool done = (checks_alone && !run_is_check(run)) ||
                    run_row(run->kind)->perform(reduction, run, doc, faults);
        if (has_company(reduction, run) && faults->worst <= FAULT_DATA &&
            !label_run(run, doc, findings, tables, numbers, faults))
            return false;
        if (done)
            continue;
        good = false;
        place_faults(reduction->setup.path, run, from, faults);
        if (faults->worst > FAULT_DATA)
            continue; /* no document will be written */
        if (!note_hindrance(run, doc, from, faults) ||
            !tell_why(run, doc, findings, from, faults))
            return false;
    }
    return good;
}

bool runs_perform(const struct reduction *reduction, struct document *doc, struct faults *faults)
{
    return reduction_mostly_impossible(reduction, doc, faults) &&
           reduction_alternating(reduction, doc, faults) &&
           reduction_whole(reduction, FINDING_ANSWER, doc, faults) &&
           reduction_copies(reduction, doc, faults) && perform(reduction, false, doc, faults);
}

bool runs_perform_checks(const struct reduction *reduction, struct document *doc,
                         struct faults *faults)
{
    return reduction_flags(reduction, doc, faults) &&
           reduction_whole(reduction, FINDING_READINGS, doc, faults) &&
           perform(reduction, true, doc, faults);
}
