#include "ingest/turns.h"

#include "ingest/rows.h"

/* What of the plan forbids merging. NULL: nothing does. */
static const char *apart_always(const struct row_form *form)
{
    const struct log_timing *timing = &form->plan->timing;
    if (stamp_since_start(&form->stamp))
        return "files whose stamps count since the logger was switched on are read one after "
               "another";
    if (timing->n_sets > 0)
        return "where 'clock set' is stated files are read one after another";
    if (timing->rows_per_stamp > 1)
        return "where 'rows per stamp' is stated files are read one after another";
    return NULL;
}

void turns_begin(struct turns *turns, const struct row_form *form, struct turns_file *files,
                 size_t n)
{
    *turns = (struct turns){.form = form, .files = files, .n = n};
    for (size_t i = 0; i < n; i++)
        files[i].open = false;
}

int64_t turns_limit(const struct turns *turns)
{
    return turns->next < turns->n && !turns->held ? turns->files[turns->next].first_us : INT64_MAX;
}

static bool may_show_twice(const struct row_form *form)
{
    const struct zone *zone = form->plan->zone;
    return zone != NULL && zone->name[0] != '\0' && !form->plan->zone_in_stamp;
}

/* Reads the file for it once. Returns: false with a fault. */
static bool ask(const struct row_form *form, struct turns_file *file, struct faults *faults)
{
    struct rows rows;
    enum row_status status = ROWS_ROW;
    if (file->asked || !may_show_twice(form))
        return true;
    if (!rows_open(&rows, form, form->plan->files[file->index], false, faults))
        return false;
    while (!file->twice && status != ROWS_END && status != ROWS_FAILED &&
           status != ROWS_HEADER_OTHER) {
        status = rows_next(&rows, faults);
        file->twice = status == ROWS_ROW && rows.again_us != rows.time_us;
    }
    file->asked = true;
    rows_close(&rows);
    return status != ROWS_FAILED;
}

/* Whether the next file or one that is open has rows of such an hour. */
static bool any_twice(struct turns *turns, bool *any, struct faults *faults)
{
    *any = false;
    for (size_t i = 0; i <= turns->next; i++) {
        struct turns_file *file = &turns->files[i];
        if (!file->open && i < turns->next)
            continue;
        if (!ask(turns->form, file, faults))
            return false;
        *any = *any || file->twice;
    }
    return true;
}

static bool too_many(const struct turns *turns, struct faults *faults)
{
    const char *path = turns->form->plan->files[turns->files[turns->next].index];
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(path, 0, 0));
    fault_found(fault, "its rows lie between those of %d other files", TURNS_FILES_MAX);
    fault_expected(fault, "at most %d files at the same time", TURNS_FILES_MAX);
    fault_hint(fault, "put the rows of several of them into one file in the order of time");
    return false;
}

bool turns_due(struct turns *turns, int64_t time_us, bool *due, struct faults *faults)
{
    bool twice;
    *due = turns->next < turns->n && turns->n_open == 0;
    if (turns->n_open == 0 || turns->next == turns->n || time_us < turns_limit(turns) ||
        turns->held)
        return true;
    const char *always = apart_always(turns->form);
    if (always != NULL) {
        turns->held = true;
        turns->apart = always;
        return true;
    }
    if (!any_twice(turns, &twice, faults))
        return false;
    if (twice) {
        turns->held = true;
        turns->apart = "files with rows of an hour that the clock shows twice are read one after "
                       "another";
        return true;
    }
    *due = turns->n_open < TURNS_FILES_MAX;
    return *due || too_many(turns, faults);
}

size_t turns_open(struct turns *turns)
{
    turns->files[turns->next].open = true;
    turns->held = false;
    turns->n_open++;
    return turns->next++;
}

void turns_close(struct turns *turns, size_t file)
{
    turns->files[file].open = false;
    turns->n_open--;
}
