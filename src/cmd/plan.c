#include "cmd/command.h"

#include "base/files.h"
#include "cmd/write_out.h"
#include "study/plan.h"

#include <stdlib.h>

static bool plan_one(const struct options *options, struct reduction *reduction,
                     struct document *doc, struct faults *faults)
{
    struct plan_request request = {.answer = options->answer, .asked = options->before};
    if (!plan_read(reduction, options->operands[0], options->before, &request.before, faults))
        return false;
    const struct stated_text *name = &reduction->setup.collector.name;
    return document_init(doc, "plan", name->at.given ? name->text : path_base(options->operands[0]),
                         faults) &&
           write_out_caution(doc, faults) && plan_run(reduction, &request, doc, faults);
}

bool cmd_plan(const struct options *options, struct text *out, struct faults *faults)
{
    struct write_out write;
    struct document doc = {0};
    struct reduction *reduction = malloc(sizeof *reduction);
    if (reduction == NULL)
        return fault_memory(faults);
    reduction_init(reduction);
    reduction->skip_bad = options->skip_bad;
    reduction->threads = options->threads;
    bool good = write_out_begin(&write, options, ".plan", faults);
    reduction->progress = &write.progress;
    good = good && plan_one(options, reduction, &doc, faults);
    bool written = good && write_out_folder(&write, &doc, out, faults);
    document_free(&doc);
    write_out_end(&write);
    reduction_free(reduction);
    free(reduction);
    return written;
}
