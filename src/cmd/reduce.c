#include "cmd/command.h"
#include "cmd/work.h"
#include "run/reduction_document.h"
#include "run/run.h"

static bool fill(const struct options *options, const struct reduction *reduction,
                 struct document *doc, struct faults *faults)
{
    (void)options;
    return runs_perform(reduction, doc, faults);
}

bool cmd_reduce(const struct options *options, struct text *out, struct faults *faults)
{
    static const struct work_kind kind = {"efficiency", ".results", reduction_document, fill,
                                          false};
    return work_do(options, &kind, out, faults);
}
