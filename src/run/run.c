#include "run/run.h"

static const struct run_row rows[] = {
    {RUN_EFFICIENCY, "efficiency", run_efficiency},
};

const struct run_row *run_row(enum run_kind kind)
{
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        if (rows[i].kind == kind)
            return &rows[i];
    return NULL;
}

bool runs_perform(const struct reduction *reduction, struct document *doc, struct faults *faults)
{
    bool good = true;
    for (size_t i = 0; i < reduction->setup.n_runs; i++) {
        const struct run_section *run = &reduction->setup.runs[i];
        good &= run_row(run->kind)->perform(reduction, run, doc, faults);
    }
    return good;
}
