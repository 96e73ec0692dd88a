#include "ingest/complaint_files.h"

#include "base/text.h"

enum { FILES_NAMED = 6 };

void hint_files_apart(const struct stamp_troubles *t, struct fault *fault)
{
    fault_hint(
        fault,
        "%s: put the rows of both into one file in the order of time; if a second logger "
        "wrote one of the files, it has its own section [log NAME]; if the clock was set back, "
        "mend the stamps there",
        t->apart != NULL ? t->apart : "a file is merged with others from its first stamp on");
}

/* "a.csv (320 rows), b.csv (319 rows)" */
static void list_merged(const struct log_account *account, size_t n, struct text *list)
{
    size_t named = 0;
    char number[32];
    for (size_t i = 0; i < account->n_files && named < FILES_NAMED; i++) {
        const struct log_file *file = &account->files[i];
        if (!file->between)
            continue;
        text_addf(list, "%s%s (%s row%s)", named++ > 0 ? ", " : "", file->path,
                  count_text(file->rows_used, number), file->rows_used == 1 ? "" : "s");
    }
    if (n > named)
        text_addf(list, " and %zu more", n - named);
}

void note_merged(const struct log_account *account, struct faults *faults)
{
    struct text list;
    size_t n = 0;
    struct log_place first = account->merged.first;
    if (account->merged.turns == 0)
        return;
    for (size_t i = 0; i < account->n_files; i++)
        n += account->files[i].between;
    struct place at = fault_at(account->files[first.file].path, first.line, 0);
    struct fault *fault = fault_new(faults, FAULT_NOTE, at);
    text_init(&list);
    list_merged(account, n, &list);
    fault_found(fault, "the rows of %zu files lie between each other's and are merged by their "
                       "stamps: %s", n, text_string(&list));
    text_free(&list);
}
