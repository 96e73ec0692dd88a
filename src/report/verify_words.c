/* What a comparison with a kept result found, in words. */
#include "report/verify.h"

#include "base/text.h"
#include "report/paint.h"
#include "report/wrap.h"

#include <stdio.h>
#include <string.h>

enum { LABEL_WIDTH = 12 };

bool verify_same(const struct verify *v)
{
    return v->numbers.n == 0 && v->rounded.n == 0 && v->files.n == 0 &&
           (v->texts.n == 0 || v->causes.n > 0);
}

/* "12 of 5324 numbers differ, 3 of them at the level of rounding alone" */
static void number_words(const struct verify *v, char *out, size_t size)
{
    size_t n = v->numbers.n + v->rounded.n;
    char rounding[64] = "";
    if (v->numbers.n == 0)
        snprintf(rounding, sizeof rounding, ", at the level of rounding alone");
    else if (v->rounded.n > 0)
        snprintf(rounding, sizeof rounding, ", %zu of them at the level of rounding alone",
                 v->rounded.n);
    snprintf(out, size, "%zu of %zu numbers %s%s", n, v->n_numbers, n == 1 ? "differs" : "differ",
             rounding);
}

const char *verify_words(const struct verify *v, char *out, size_t size)
{
    if (v->numbers.n + v->rounded.n > 0)
        number_words(v, out, size);
    else if (v->files.n > 0)
        snprintf(out, size, "every number of results.json is the same, but %s",
                 v->files.n == 1 ? "another file of the folder differs"
                                 : "other files of the folder differ");
    else if (verify_same(v))
        snprintf(out, size, "every number is the same (%zu compared)", v->n_numbers);
    else
        snprintf(out, size, "every number is the same, but %s",
                 v->texts.n == 1 ? "a text differs" : "texts differ");
    return out;
}

static void tell_list(const struct verify_list *list, const char *label, struct text *out)
{
    const char *line = text_string(&list->lines);
    if (list->n == 0)
        return;
    while (*line != '\0') {
        char one[1200];
        size_t n = strcspn(line, "\n");
        snprintf(one, sizeof one, "%.*s", (int)n, line);
        wrap_add(out, label, LABEL_WIDTH, 2, one);
        label = "";
        line += n + 1;
    }
    if (list->n > VERIFY_SHOWN)
        text_addf(out, "%*sand %zu more\n", LABEL_WIDTH, "", list->n - VERIFY_SHOWN);
}

static void tell_verdict(const struct verify *v, const char *name, bool colour, struct text *out)
{
    char words[VERIFY_WORDS];
    struct text head = {0}, wrapped = {0};
    text_addf(&head, "%s: %s.", name, verify_words(v, words, sizeof words));
    wrap_add(&wrapped, "", 0, 2, text_string(&head));
    const char *lines = text_string(&wrapped);
    size_t n = wrapped.length > 0 ? wrapped.length - 1 : 0;
    paint_add(out, colour, verify_same(v) ? PAINT_GOOD : PAINT_DOUBT, lines, n);
    text_add(out, "\n");
    text_fail_with(out, &head);
    text_fail_with(out, &wrapped);
    text_free(&head);
    text_free(&wrapped);
}

void verify_tell(const struct verify *v, const char *name, bool colour, struct text *out)
{
    tell_verdict(v, name, colour, out);
    tell_list(&v->causes, "Cause", out);
    tell_list(&v->numbers, "Numbers", out);
    tell_list(&v->rounded, "Rounding", out);
    tell_list(&v->texts, "Texts", out);
    tell_list(&v->files, "Files", out);
    if (v->n_files > 0 && v->files.n == 0)
        text_addf(out, "So is every byte of %zu other files of the folder (all but pictures).\n",
                  v->n_files);
    if (v->rounded.n > 0 && v->causes.n == 0)
        wrap_add(out, "Cause", LABEL_WIDTH, 2,
                 "last digits of some sixteen: another processor, compiler or mathematical "
                 "library rounds otherwise (or they were changed); no figure that a report "
                 "shows differs by it");
    if (v->numbers.n > 0 && v->causes.n == 0)
        wrap_add(
            out, "Cause", LABEL_WIDTH, 2,
            "inputs and program are the same by hash and version: the kept folder was changed, "
            "or another build of the program wrote it");
}
