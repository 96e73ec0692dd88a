#include "cmd/command.h"
#include "cmd/work.h"
#include "report/wrap.h"
#include "run/reduction_document.h"
#include "run/run.h"

#include <stdlib.h>

/* `check TEST --rules`: the description alone is read. */
static bool print_rules(const struct options *options, struct text *out, struct faults *faults)
{
    struct reduction *reduction = malloc(sizeof *reduction);
    if (reduction == NULL)
        return fault_memory(faults);
    reduction_init(reduction);
    bool good = reduction_describe(reduction, options->operands[0], faults);
    if (good) {
        struct text lines = {0};
        rules_table(&reduction->rules, &lines);
        criteria_table(&reduction->criteria, &reduction->rules, &lines);
        wrap_lines(out, text_string(&lines));
        text_fail_with(out, &lines);
        text_free(&lines);
    }
    reduction_free(reduction);
    free(reduction);
    return good && text_ok(out, faults);
}

static bool fill(const struct options *options, const struct reduction *reduction,
                 struct document *doc, struct faults *faults)
{
    (void)options;
    return runs_perform_checks(reduction, doc, faults);
}

bool cmd_check(const struct options *options, struct text *out, struct faults *faults)
{
    static const struct work_kind kind = {"check", ".check", reduction_document, fill, false};
    return options->rules ? print_rules(options, out, faults)
                          : work_do(options, &kind, out, faults);
}
