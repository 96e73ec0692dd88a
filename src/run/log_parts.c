#include "run/log_parts.h"

#include "base/files.h"
#include "base/text.h"
#include "ingest/columns.h"
#include "ingest/join.h"
#include "run/setup_log.h"

#include <stdlib.h>
#include <string.h>

/* What [log NAME] is called at first; [log] itself is the first part. */
static const char *const names[LOGS_MOST] = {"", "second", "third", "fourth"};

/* The files of a log by the columns that they hold. */
struct parts {
    size_t n;
    size_t *of_file;                 /* by file: its part */
    bool held[LOGS_MOST][CH_LOGGED]; /* by column of the plan */
    size_t of_column[CH_LOGGED];     /* the first part that holds it */
    const char *name[LOGS_MOST];
};

/* Finds the part of a file. Returns: false if there are too many. */
static bool sort_in(struct parts *parts, size_t file, const bool *held, size_t n_columns)
{
    size_t part = 0;
    while (part < parts->n && memcmp(parts->held[part], held, n_columns * sizeof *held) != 0)
        part++;
    if (part == LOGS_MOST)
        return false;
    if (part == parts->n)
        memcpy(parts->held[parts->n++], held, n_columns * sizeof *held);
    parts->of_file[file] = part;
    return true;
}

/* Whether the parts complete each other: every column is in one, and each adds some. */
static bool complete_each_other(struct parts *parts, size_t n_columns)
{
    bool adds[LOGS_MOST] = {false};
    for (size_t k = 0; k < n_columns; k++) {
        size_t part = 0;
        while (part < parts->n && !parts->held[part][k])
            part++;
        if (part == parts->n)
            return false;
        parts->of_column[k] = part;
        adds[part] = true;
    }
    for (size_t part = 0; part < parts->n; part++)
        if (!adds[part])
            return false;
    return parts->n > 1;
}

/* What is wrong with a file or its head otherwise is the reader's to say. */
static bool find_parts(const struct log_plan *plan, struct parts *parts, struct faults *unsaid)
{
    for (size_t i = 0; i < plan->n_files; i++) {
        bool timed, held[CH_LOGGED] = {false};
        if (!columns_held(plan, i, held, &timed, unsaid) || !timed ||
            !sort_in(parts, i, held, plan->n_columns))
            return false;
    }
    return complete_each_other(parts, plan->n_columns);
}

static bool is_taken(const struct test_setup *setup, const char *name)
{
    for (size_t i = 0; i < setup->n_other_logs; i++)
        if (text_same_nocase(setup->other_logs[i].name, name))
            return true;
    return false;
}

/* Returns: false if there would be too many logs. */
static bool name_parts(const struct test_setup *setup, struct parts *parts)
{
    size_t next = 1;
    for (size_t part = 1; part < parts->n; part++) {
        while (next < LOGS_MOST && is_taken(setup, names[next]))
            next++;
        if (next == LOGS_MOST)
            return false;
        parts->name[part] = names[next++];
    }
    return 1 + setup->n_other_logs + parts->n - 1 <= LOGS_MOST;
}

/* "first.csv 'G tilt', 'T air'; second.csv 'T in', 'T out'": of each part one file and its columns.
 */
static void list_parts(const struct log_plan *plan, const struct log_section *log,
                       const struct parts *parts, struct text *out)
{
    for (size_t part = 0; part < parts->n; part++) {
        size_t file = 0;
        bool any = false;
        while (parts->of_file[file] != part)
            file++;
        text_addf(out, "%s%s", part > 0 ? "; " : "", log->files.items[file].text);
        for (size_t k = 0; k < plan->n_columns; k++)
            if (parts->of_column[k] == part) {
                text_addf(out, "%s'%s'", any ? ", " : " ", plan->columns[k].name);
                any = true;
            }
    }
}

/* A comment that names the instruments of a part. */
static void add_instruments(const struct test_setup *setup, size_t which,
                            const struct log_plan *plan, const struct parts *parts, size_t part,
                            struct text *out)
{
    bool any = false;
    text_addf(out, "# write 'log = %s' below ", parts->name[part]);
    for (size_t i = 0; i < setup->n_instruments; i++) {
        const struct instrument *instrument = &setup->instruments[i];
        for (size_t k = 0; instrument->log == which && k < plan->n_columns; k++)
            if (parts->of_column[k] == part && plan->columns[k].channel == instrument->channel) {
                text_addf(out, "%s[instrument %s]", any ? ", " : "", instrument->name);
                any = true;
            }
    }
    text_add(out, "\n");
}

/* The keys of the log that hold for its part too, as they were written. */
static void add_keys(const struct description *description, const struct section *section,
                     struct text *out)
{
    for (size_t i = 0; i < section->n; i++) {
        const struct entry *entry = &description->entries[section->first + i];
        if (!text_same(entry->key, "file") && !text_same(entry->key, "exclude"))
            text_addf(out, "%s = %s\n", entry->key, entry->value);
    }
}

static const struct section *section_of(const struct description *description,
                                        const struct log_section *log)
{
    for (size_t i = 0; i < description->n_sections; i++)
        if (description->sections[i].line == log->head.line)
            return &description->sections[i];
    return NULL;
}

/* The lines to add. Returns: false without them. */
static bool write_lines(const struct test_setup *setup, size_t which, const struct log_plan *plan,
                        const struct parts *parts, struct text *out, struct faults *faults)
{
    static const char *const named[] = {"log"};
    const struct log_section *log = setup_log(setup, which);
    struct description description;
    struct text bytes = {0};
    description_init(&description);
    bool good = file_read(setup->path, DESCRIPTION_BYTES, &bytes, faults) &&
                description_parse(&description, setup->path, text_string(&bytes), bytes.length,
                                  named, 1, faults);
    const struct section *section = good ? section_of(&description, log) : NULL;
    for (size_t part = 1; section != NULL && part < parts->n; part++) {
        add_instruments(setup, which, plan, parts, part, out);
        text_addf(out, "[log %s]\n", parts->name[part]);
        for (size_t i = 0; i < plan->n_files; i++)
            if (parts->of_file[i] == part)
                text_addf(out, "file = %s\n", log->files.items[i].text);
        add_keys(&description, section, out);
        if (which == 0)
            text_add(out, "clock offset = 0 s\n");
    }
    description_free(&description);
    text_free(&bytes);
    return section != NULL && !out->failed;
}

static void say_parts(const struct test_setup *setup, size_t which, const struct log_plan *plan,
                      const struct parts *parts, struct faults *unsaid, struct faults *faults)
{
    char label[NAME_SIZE + 8];
    struct text list = {0}, lines = {0};
    const struct log_section *log = setup_log(setup, which);
    log_section_label(log, label, sizeof label);
    struct fault *fault = fault_new(faults, FAULT_INPUT, log->head);
    list_parts(plan, log, parts, &list);
    fault_found(fault, "the files of %s hold a part of its columns each: %s", label,
                text_string(&list));
    if (write_lines(setup, which, plan, parts, &lines, unsaid) &&
        faults_lines(faults, text_string(&lines)))
        fault_hint(
            fault,
            "take the files that are named below out of %s, add the lines below to the "
            "description, and do what the comment says: the files are then read side by side",
            label);
    else
        fault_hint(
            fault,
            "give the files of each part a section [log NAME] of their own with the keys of %s, "
            "and write 'log = NAME' below the instruments whose columns they hold",
            label);
    text_free(&list);
    text_free(&lines);
}

/* Returns: false with a fault. */
static bool is_whole(const struct test_setup *setup, size_t which, struct faults *unsaid,
                     struct faults *faults)
{
    struct log_plan plan;
    struct parts parts = {.n = 0};
    log_plan_init(&plan);
    bool good = setup_log_plan(setup, which, &plan, faults);
    if (good && plan.n_files > 1 && !plan.no_names) {
        parts.of_file = calloc(plan.n_files, sizeof *parts.of_file);
        good = parts.of_file != NULL || fault_memory(faults);
        if (good && find_parts(&plan, &parts, unsaid) && name_parts(setup, &parts)) {
            say_parts(setup, which, &plan, &parts, unsaid, faults);
            good = false;
        }
    }
    free(parts.of_file);
    log_plan_free(&plan);
    return good;
}

bool log_parts_whole(const struct test_setup *setup, struct faults *faults)
{
    struct faults *unsaid = malloc(sizeof *unsaid);
    bool good = true;
    if (unsaid == NULL)
        return fault_memory(faults);
    faults_init(unsaid);
    for (size_t i = 0; i < 1 + setup->n_other_logs; i++)
        good = is_whole(setup, i, unsaid, faults) && good;
    free(unsaid);
    return good;
}
