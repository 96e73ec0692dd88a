/* What is wrong with a log's header. */
#include "ingest/complaint.h"

#include "base/text.h"

#include <string.h>

static const char *sign_word(char sign)
{
    return sign == ';' ? "semicolon" : sign == '\t' ? "tab" : "comma";
}

static void hint_column(const struct header *header, const char *name, bool several,
                        struct fault *fault)
{
    const char *near = text_nearest(name, (const char *const *)header->names, header->n);
    if (near != NULL)
        fault_hint(fault, "did you mean '%s'? names are compared letter for letter", near);
    else if (several)
        fault_hint(fault, "write 'column' as the header row does, letter for letter; a file that "
                          "holds other columns than the first has a section [log NAME] of its own");
    else
        fault_hint(fault, "write 'column' as the header row does, letter for letter");
}

static void list_names(const struct header *header, struct fault *fault)
{
    struct text list;
    text_init(&list);
    for (size_t i = 0; i < header->n; i++)
        text_addf(&list, "%s'%s'", i == 0 ? "" : ", ", header->names[i]);
    fault_expected(fault, "one of %s", text_string(&list));
    text_free(&list);
}

bool complain_column(const struct header *header, const char *path, const char *name,
                     const char *role, size_t found, size_t first, bool several,
                     struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(path, header->line, 0));
    if (found == 0) {
        fault_field(fault, "%s", role);
        fault_found(fault, "column '%s' is not in the header row", name);
        list_names(header, fault);
        hint_column(header, name, several, fault);
        return false;
    }
    fault_field(fault, "field %zu", first + 1);
    fault_found(fault, "column '%s' (%s) stands %zu times in the header row", name, role, found);
    fault_hint(fault,
               "from left to right they are called '%s (1)', '%s (2)' and so on here; or give them "
               "different names in the header row",
               name, name);
    return false;
}

/* A line near the top with the time's name and another sign beside it. '\0': there is none. */
static char sign_of_kept(const struct header *header, const struct log_plan *plan)
{
    const char *name = plan->time_columns[0];
    for (size_t i = 0; i < header->n_kept; i++)
        for (const char *sign = ";\t,"; *sign != '\0'; sign++)
            if (*sign != plan->separator &&
                memmem(header->kept[i].bytes, header->kept[i].n, name, strlen(name)) != NULL &&
                memchr(header->kept[i].bytes, *sign, header->kept[i].n) != NULL)
                return *sign;
    return '\0';
}

/* A header of one name means that another separator was meant, if the row holds one. */
static void hint_header(const struct header *header, const struct log_plan *plan,
                        struct fault *fault)
{
    if (plan->names_line > 0) {
        fault_hint(fault, "'names' in [log] states that they stand in this line");
        return;
    }
    char kept = sign_of_kept(header, plan);
    if (kept != '\0') {
        fault_hint(fault,
                   "a line below it does, with another sign between them: set 'separator = %s' "
                   "in [log]",
                   sign_word(kept));
        return;
    }
    for (const char *sign = ";\t,"; header->n == 1 && *sign != '\0'; sign++)
        if (memchr(header->raw, *sign, header->raw_n) != NULL) {
            fault_hint(fault, "it has one field; set 'separator = %s' in [log]", sign_word(*sign));
            return;
        }
    fault_hint(fault,
               "no line near the top names them; if the log has no names at all, set 'names = "
               "none' in [log] and number the columns");
}

bool complain_header(const struct header *header, const char *path, const struct log_plan *plan,
                     struct faults *faults)
{
    struct text list;
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(path, header->line, 0));
    text_init(&list);
    for (size_t i = 0; i < plan->n_time_columns; i++)
        text_addf(&list, "%s'%s'", i == 0 ? "" : ", ", plan->time_columns[i]);
    for (size_t i = 0; i < plan->n_columns; i++)
        text_addf(&list, ", '%s'", plan->columns[i].name);
    fault_found(fault, "the header row names none of the columns; it begins '%.60s'",
                header->names[0]);
    fault_expected(fault, "%s", text_string(&list));
    hint_header(header, plan, fault);
    text_free(&list);
    return false;
}
