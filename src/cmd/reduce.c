#include "cmd/command.h"
#include "cmd/work.h"
#include "run/run.h"

bool cmd_reduce(const struct options *options, struct text *out, struct faults *faults)
{
    return work_do(options, "efficiency", ".results", runs_perform, out, faults);
}
