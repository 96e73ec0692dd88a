#include "cmd/command.h"
#include "cmd/work.h"
#include "run/reduction_document.h"
#include "study/predict_run.h"

static bool fill(const struct options *options, const struct reduction *reduction,
                 struct document *doc, struct faults *faults)
{
    return predict_run(reduction, options->changes, options->n_changes, doc, faults);
}

bool cmd_predict(const struct options *options, struct text *out, struct faults *faults)
{
    static const struct work_kind kind = {"predict", ".predict", NULL, fill, true};
    return work_do(options, &kind, out, faults);
}
