#include "description/line.h"

#include "base/text.h"

#include <string.h>

struct line_source line_source_of(const char *bytes, size_t n)
{
    static const char mark[] = "\xEF\xBB\xBF";
    size_t skip = n >= 3 && memcmp(bytes, mark, 3) == 0 ? 3 : 0;
    struct line_source source = {bytes + skip, bytes + n, 0};
    return source;
}

bool line_take(struct line_source *source, const char **line, size_t *n)
{
    if (source->next == source->end)
        return false;
    *line = source->next;
    const char *c = source->next;
    while (c < source->end && *c != '\n' && *c != '\r')
        c++;
    *n = (size_t)(c - source->next);
    if (c < source->end)
        c += *c == '\r' && c + 1 < source->end && c[1] == '\n' ? 2 : 1;
    source->next = c;
    source->line++;
    return true;
}

bool line_is_blank(char c)
{
    return c == ' ' || c == '\t';
}

void line_cut_comment(const char **line, size_t *n)
{
    const char *c = *line;
    size_t length = *n;
    for (size_t i = 0; i < length; i++)
        if (c[i] == '#' && (i == 0 || line_is_blank(c[i - 1])))
            length = i;
    while (length > 0 && line_is_blank(c[length - 1]))
        length--;
    while (length > 0 && line_is_blank(*c)) {
        c++;
        length--;
    }
    *line = c;
    *n = length;
}

struct place line_place(const char *file, long line, const char *start, const char *where)
{
    return fault_at(file, line, (long)text_characters(start, (size_t)(where - start)) + 1);
}

/* A byte that no text file has, or NULL. */
static const char *find_control(const char *line, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (((unsigned char)line[i] < 0x20 && line[i] != '\t') || line[i] == 0x7F)
            return line + i;
    return NULL;
}

static bool refuse_text(struct place at, const char *control, struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    if (control != NULL)
        fault_found(fault, "this is not a text file: it holds a byte of value %d",
                    (unsigned char)*control);
    else
        fault_found(fault, "this is not UTF-8 text");
    fault_expected(fault, "a test description, plain text in UTF-8");
    fault_hint(fault, "check the name, or save the file as UTF-8 in your editor");
    return false;
}

/* Nothing that could be a section head: some other file. One fault says more than one a line. */
static bool refuse_headless(const char *file, struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(file, 0, 0));
    fault_found(fault, "this is no test description: it has no section");
    fault_expected(fault, "lines such as '[collector]' with 'key = value' lines below them");
    fault_hint(fault, "a log or a points table is named inside a description ('file = day1.csv' "
                      "below [log])");
    return false;
}

/* What stands on a line beside blanks and comments: '[' for a head; 0 for nothing. */
static char first_of(const char *line, size_t n)
{
    line_cut_comment(&line, &n);
    return n > 0 ? *line : '\0';
}

bool line_check_text(struct line_source source, const char *file, struct faults *faults)
{
    const char *line;
    size_t n;
    bool blank = true;
    bool heads = false;
    bool content = false;
    while (line_take(&source, &line, &n)) {
        const char *control = find_control(line, n);
        if (control != NULL || !text_is_utf8(line, n))
            return refuse_text(fault_at(file, source.line, 0), control, faults);
        for (size_t i = 0; i < n; i++)
            blank = blank && line_is_blank(line[i]);
        heads = heads || first_of(line, n) == '[';
        content = content || first_of(line, n) != '\0';
    }
    if (!blank)
        return heads || !content || refuse_headless(file, faults);
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(file, 0, 0));
    fault_found(fault, "the file is empty");
    fault_expected(fault, "a test description that begins with a line such as '[collector]'");
    return false;
}
