#include "ingest/complaint_form.h"

#include <stdlib.h>
#include <string.h>

static const char *signs_word(char sign)
{
    return sign == ';' ? "semicolons" : sign == '\t' ? "tabs" : "commas";
}

bool complain_fewer(const struct stamp_troubles *t, struct faults *faults)
{
    const struct fewer_fields *run = &t->fewer;
    char share[96];
    if (run->n < FEWER_LEAST || !run->rare)
        return true;
    bool to_end = run->at_row == t->rows_read && run->n * 100 > t->rows_read;
    enum fault_kind kind = to_end ? FAULT_INPUT : FAULT_WARNING;
    struct fault *fault = fault_new(faults, kind, fault_at(t->path, run->line, 0));
    complain_share(run->n, t->rows_read, share);
    fault_found(fault, "the rows have %zu fields from here on, and %zu up to line %ld (%.*s)",
                run->fields, run->before, run->last_whole, (int)strcspn(share, ";"), share);
    fault_expected(fault, "%zu fields, as in the header row", run->before);
    fault_hint(fault,
               to_end ? "if a column was taken out there, those behind it have moved: cut the file "
                        "before this line and give both parts, each below its own row of names; if "
                        "only empty fields at the end were left out, put the separators back"
                      : "look at the line: if a column is gone, those behind it have moved and are "
                        "read for others; if only empty fields at the end were left out, all is "
                        "well");
    return !to_end;
}

static bool is_form(const char *form, const char *text, struct faults *unused)
{
    struct stamp_format format;
    int64_t time_us;
    faults_init(unused);
    return stamp_compile(form, false, NULL, fault_at(NULL, 0, 0), &format, unused) &&
           stamp_read(&format, text, strlen(text), &time_us) == STAMP_GOOD;
}

/* Forms that loggers write, as they are told to the user. NULL: none of them, or no memory. */
static const char *form_of(const struct stamp_troubles *t)
{
    static const char *const forms[] = {
        "ISO 8601",          "%d/%m/%Y %H:%M:%S", "%m/%d/%Y %H:%M:%S", "%d.%m.%Y %H:%M:%S",
        "%d-%m-%Y %H:%M:%S", "%Y/%m/%d %H:%M:%S", "%d/%m/%Y %H:%M",    "%m/%d/%Y %H:%M",
        "%d.%m.%Y %H:%M",    "%Y/%m/%d %H:%M",    "%d.%m.%y %H:%M:%S", "%m/%d/%Y %I:%M:%S %p",
        "Unix time"};
    const char *found = NULL;
    struct faults *unused = malloc(sizeof *unused); /* too large for a thread's stack */
    for (size_t i = 0; unused != NULL && found == NULL && i < sizeof forms / sizeof forms[0]; i++)
        found = is_form(forms[i], t->first[ROW_BAD_STAMP].text, unused) ? forms[i] : NULL;
    free(unused);
    return found;
}

bool hint_changed(const struct stamp_troubles *t, struct fault *fault)
{
    const struct row_before *before = &t->before[ROW_BAD_STAMP];
    const char *form = form_of(t);
    if (before->line == 0 || strcmp(before->path, t->path) != 0 || t->count[ROW_BAD_STAMP] < 2)
        return false;
    if (t->now_separator != '\0')
        fault_hint(fault,
                   "up to line %ld the fields are parted by %s, from here on by %s: put the rows "
                   "from here on into the form of those before, or make them a log of their own",
                   before->line, signs_word(t->plan->separator), signs_word(t->now_separator));
    else if (form != NULL)
        fault_hint(fault,
                   "up to line %ld the stamps are of the stated form, from here on of another one "
                   "('%s'): write them all alike, or make the rows from here on a log of their own",
                   before->line, form);
    else
        fault_hint(fault,
                   "up to line %ld the stamps are of the stated form: look at what changes here, "
                   "and mend it, or cut the file before this line",
                   before->line);
    return true;
}
