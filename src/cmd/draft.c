#include "cmd/command.h"

#include "base/files.h"
#include "draft/draft.h"

#include <stdlib.h>

/* Writes the text to -o, or beside the log; '-' is standard output. */
static bool deliver(const struct options *options, const char *beside, const char *tail,
                    const struct text *text, struct text *out, struct faults *faults)
{
    if (options->output != NULL && text_same(options->output, "-")) {
        text_add_bytes(out, text_string(text), text->length);
        return text_ok(out, faults);
    }
    char *path = options->output != NULL ? text_copy(options->output, faults)
                                         : path_with_tail(beside, tail, faults);
    bool good = path != NULL && file_write_new(path, text_string(text), text->length, faults);
    if (good)
        text_addf(out, "\nwritten: %s\n", path);
    free(path);
    return good && text_ok(out, faults);
}

static bool blank_points(const struct options *options, struct text *out, struct faults *faults)
{
    struct text points = {0};
    bool good = draft_points(&points, faults) &&
                deliver(options, "points", ".csv", &points, out, faults);
    text_free(&points);
    return good;
}

static bool refuse_word(const char *option, const char *word, const char *words,
                        struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_USAGE, fault_at(NULL, 0, 0));
    fault_found(fault, "'%s' is no value of '--%s'", word, option);
    fault_expected(fault, "%s", words);
    return false;
}

/* What the user says of the file, so that it is not guessed. */
static bool pin(const struct options *options, struct dialect *pinned, struct faults *faults)
{
    if (options->separator != NULL) {
        pinned->separator = dialect_separator_of(options->separator);
        if (pinned->separator == '\0')
            return refuse_word("separator", options->separator, "comma, semicolon or tab", faults);
    }
    if (options->decimal != NULL) {
        pinned->decimal = dialect_decimal_of(options->decimal);
        if (pinned->decimal == '\0')
            return refuse_word("decimal", options->decimal, "point or comma", faults);
    }
    return true;
}

bool cmd_draft(const struct options *options, struct text *out, struct faults *faults)
{
    if (options->points)
        return blank_points(options, out, faults);
    if (options->n_operands == 0) {
        struct fault *fault = fault_new(faults, FAULT_USAGE, fault_at(NULL, 0, 0));
        fault_found(fault, "'draft' needs a log");
        fault_hint(fault, "usage: etabench draft LOG..., or etabench draft --points");
        return false;
    }
    bool to_screen = options->output != NULL && text_same(options->output, "-");
    struct text understood = {0}, description = {0};
    struct dialect pinned = {0};
    bool good = pin(options, &pinned, faults) &&
                draft_write((const char *const *)options->operands, (size_t)options->n_operands,
                            &pinned, &understood, &description, faults);
    if (good && !to_screen) /* what is understood must not mix with a description on the screen */
        text_add_bytes(out, text_string(&understood), understood.length);
    good = good && deliver(options, options->operands[0], ".txt", &description, out, faults);
    text_free(&understood);
    text_free(&description);
    return good;
}
