#include "cmd/work.h"

#include "base/files.h"
#include "base/units.h"
#include "cmd/write_out.h"

#include <stdlib.h>

/* One piece of work; the document is written whatever the data could give. */
struct work {
    const struct options *options;
    const struct work_kind *kind;
    struct write_out write;
    struct reduction *reduction;
    struct document doc;
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
    work_describe *describe = w->kind->describe;
    if (!tell_warnings(w) ||
        (describe != NULL && !describe(w->reduction, &w->doc, w->faults)) ||
        !write_out_caution(&w->doc, w->faults))
        return false;
    if (describe != NULL)
        reduction_forget_log(w->reduction);
    return w->kind->fill(w->options, w->reduction, &w->doc, w->faults);
}

static bool work_read(struct work *w)
{
    if (!reduction_describe(w->reduction, w->options->operands[0], w->faults) ||
        !reduction_read(w->reduction, w->faults))
        return false;
    const struct stated_text *name = &w->reduction->setup.collector.name;
    const char *title = name->at.given ? name->text : path_base(w->options->operands[0]);
    if (!document_init(&w->doc, w->kind->kind, title, w->faults))
        return false;
    bool filled = fill_document(w);
    bool written = write_out_folder(&w->write, &w->doc, w->out, w->faults);
    document_free(&w->doc);
    return filled && written;
}

bool work_do(const struct options *options, const struct work_kind *kind, struct text *out,
             struct faults *faults)
{
    struct work w = {.options = options, .kind = kind, .out = out, .faults = faults};
    w.reduction = malloc(sizeof *w.reduction);
    if (w.reduction == NULL)
        return fault_memory(faults);
    reduction_init(w.reduction);
    w.reduction->progress = &w.write.progress;
    w.reduction->skip_bad = options->skip_bad;
    w.reduction->threads = options->threads;
    w.reduction->untested_too = kind->untested;
    bool good = write_out_begin(&w.write, options, kind->tail, faults) && work_read(&w);
    write_out_end(&w.write);
    reduction_free(w.reduction);
    free(w.reduction);
    return good;
}
