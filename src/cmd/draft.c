#include "cmd/command.h"

#include "base/files.h"
#include "draft/draft.h"
#include "report/wrap.h"

#include <stdlib.h>

static bool to_screen(const struct options *options)
{
    return options->output != NULL && text_same(options->output, "-");
}

/* The page to print stands beside the table: points.html beside points.csv. */
static bool deliver_page(const char *table, struct text *out, struct faults *faults)
{
    struct text page = {0};
    char *path = path_with_tail(table, ".html", faults);
    bool good = path != NULL && draft_points_page(&page, faults) &&
                file_write_new(path, text_string(&page), page.length, faults);
    if (good)
        text_addf(out, "to print: %s\n", path);
    free(path);
    text_free(&page);
    return good;
}

static bool blank_points(const struct options *options, struct text *out, struct faults *faults)
{
    struct text points = {0};
    const char *table = options->output != NULL ? options->output : "points.csv";
    bool good = draft_points(&points, faults);
    if (good && to_screen(options))
        text_add_bytes(out, text_string(&points), points.length);
    else if (good) /* the page first, unless the table would be refused: both or none */
        good = (file_exists(table) || deliver_page(table, out, faults)) &&
               file_write_new(table, text_string(&points), points.length, faults);
    if (good && !to_screen(options))
        text_addf(out, "to fill in: %s\n", table);
    text_free(&points);
    return good && text_ok(out, faults);
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

/* What belongs on the screen, and the description in its file: on the screen it must not mix with
 * what was understood. */
static bool show(const struct options *options, const struct text *understood,
                 const struct text *description, const struct text *json, struct text *out,
                 struct faults *faults)
{
    const struct text *shown = options->json ? json : to_screen(options) ? description : understood;
    if (shown == understood) /* what another program reads keeps its lines */
        wrap_lines(out, text_string(shown));
    else
        text_add_bytes(out, text_string(shown), shown->length);
    if (to_screen(options))
        return text_ok(out, faults);
    char *path = options->output != NULL ? text_copy(options->output, faults)
                                         : path_with_tail(options->operands[0], ".txt", faults);
    bool good =
        path != NULL && file_write_new(path, text_string(description), description->length, faults);
    if (good && !options->json)
        text_addf(out, "\nwritten: %s\n", path);
    free(path);
    return good && text_ok(out, faults);
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
    struct text understood = {0}, description = {0}, json = {0};
    struct dialect pinned = {0};
    bool good = pin(options, &pinned, faults) &&
                draft_write((const char *const *)options->operands, (size_t)options->n_operands,
                            &pinned, to_screen(options) ? NULL : options->output, &understood,
                            &description, options->json ? &json : NULL, faults) &&
                show(options, &understood, &description, &json, out, faults);
    text_free(&understood);
    text_free(&description);
    text_free(&json);
    return good;
}
