#include "cmd/command.h"

#include "cmd/write_out.h"
#include "study/compare.h"

bool cmd_compare(const struct options *options, struct text *out, struct faults *faults)
{
    struct write_out write;
    struct document doc = {0};
    struct tested_how how = {.progress = &write.progress, .skip_bad = options->skip_bad};
    bool good =
        write_out_begin(&write, options, ".compare", faults) &&
        compare_tests(options->operands, (size_t)options->n_operands, &how, &doc, faults);
    bool written = doc.title != NULL && write_out_caution(&doc, faults) &&
                   write_out_folder(&write, &doc, out, faults);
    document_free(&doc);
    write_out_end(&write);
    return good && written;
}
