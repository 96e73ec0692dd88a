#include "run/log_sections.h"

#include "ingest/join.h"

#include <stdlib.h>
#include <string.h>

static bool read_one(const struct test_setup *setup, const struct description *description,
                     const struct section *section, struct log_section *log, struct faults *faults)
{
    const struct schema *schema = section->name[0] == '\0' ? &log_schema : &other_log_schema;
    log->given = true;
    log->head = section_place(description, section);
    log->head.file = setup->path;
    strcpy(log->name, section->name);
    bool good = schema_read(schema, description, section, log, faults);
    return log_section_settle(log, setup->path, faults) && good;
}

static bool is_other(const struct section *section)
{
    return text_same(section->kind, other_log_schema.kind) && section->name[0] != '\0';
}

static bool refuse_other(const struct test_setup *setup, size_t i, const char *found,
                         const char *expected, struct faults *faults)
{
    char label[NAME_SIZE + 8];
    const struct log_section *log = &setup->other_logs[i];
    struct fault *fault = fault_new(faults, FAULT_INPUT, log->head);
    fault_found(fault, found, log_section_label(log, label, sizeof label));
    fault_expected(fault, "%s", expected);
    return false;
}

static bool check_number(const struct test_setup *setup, struct faults *faults)
{
    if (setup->n_other_logs == 0)
        return true;
    if (!setup->log.given)
        return refuse_other(setup, 0, "there is %s, but no [log]",
                            "one logger's log as '[log]', whose clock and zone all times are told "
                            "by; each further one as '[log NAME]'",
                            faults);
    if (setup->n_other_logs < LOGS_MOST)
        return true;
    return refuse_other(setup, LOGS_MOST - 1, "%s is one log too many",
                        "at most four loggers: [log] and three more", faults);
}

bool log_sections_read(struct test_setup *setup, const struct description *description,
                       struct faults *faults)
{
    bool good = true;
    const struct section *first = description_find(description, log_schema.kind);
    if (first != NULL)
        good = read_one(setup, description, first, &setup->log, faults);
    size_t n = 0;
    for (size_t i = 0; i < description->n_sections; i++)
        n += is_other(&description->sections[i]);
    if (n == 0)
        return good;
    setup->other_logs = calloc(n, sizeof *setup->other_logs);
    if (setup->other_logs == NULL)
        return fault_memory(faults);
    for (size_t i = 0; i < description->n_sections; i++)
        if (is_other(&description->sections[i]))
            good = read_one(setup, description, &description->sections[i],
                            &setup->other_logs[setup->n_other_logs++], faults) &&
                   good;
    return check_number(setup, faults) && good;
}

const struct log_section *setup_log(const struct test_setup *setup, size_t i)
{
    return i == 0 ? &setup->log : &setup->other_logs[i - 1];
}

static bool refuse_name(const struct test_setup *setup, const struct instrument *instrument,
                        struct faults *faults)
{
    char label[NAME_SIZE + 8];
    struct text list = {0};
    struct place at =
        fault_at(setup->path, instrument->log_name.at.line, instrument->log_name.at.column);
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    for (size_t i = 0; i < setup->n_other_logs; i++)
        text_addf(&list, "%s'%s'", i > 0 ? ", " : "", setup->other_logs[i].name);
    fault_found(fault, "there is no section [log %s]", instrument->log_name.text);
    if (setup->n_other_logs > 0)
        fault_expected(fault, "%s; or no 'log', for a column of %s", text_string(&list),
                       log_section_label(&setup->log, label, sizeof label));
    else
        fault_hint(fault, "add it, with the second logger's 'file' and 'time', or take 'log' out");
    text_free(&list);
    return false;
}

static bool assign(struct test_setup *setup, struct instrument *instrument, struct faults *faults)
{
    instrument->log = 0;
    if (!instrument->log_name.at.given)
        return true;
    for (size_t i = 0; i < setup->n_other_logs; i++)
        if (text_same_nocase(setup->other_logs[i].name, instrument->log_name.text)) {
            instrument->log = i + 1;
            return true;
        }
    return refuse_name(setup, instrument, faults);
}

static bool refuse_idle(const struct test_setup *setup, size_t log, struct faults *faults)
{
    char label[NAME_SIZE + 8];
    struct fault *fault = fault_new(faults, FAULT_INPUT, setup_log(setup, log)->head);
    fault_found(fault, "no instrument has its column in %s",
                log_section_label(setup_log(setup, log), label, sizeof label));
    if (log > 0)
        fault_hint(fault, "write 'log = %s' below the instruments whose columns it holds",
                   setup_log(setup, log)->name);
    else
        fault_hint(fault, "take 'log' out of the instruments whose columns it holds");
    return false;
}

bool log_sections_assign(struct test_setup *setup, struct faults *faults)
{
    bool good = true;
    size_t columns[LOGS_MOST] = {0};
    if (!setup->log.given && setup->n_other_logs > 0)
        return false;
    for (size_t i = 0; i < setup->n_instruments; i++) {
        good = assign(setup, &setup->instruments[i], faults) && good;
        if (setup->instruments[i].log < LOGS_MOST)
            columns[setup->instruments[i].log]++;
    }
    for (size_t i = 0; good && i <= setup->n_other_logs && i < LOGS_MOST; i++)
        if (columns[i] == 0 && setup->n_other_logs > 0)
            good = refuse_idle(setup, i, faults);
    return good;
}
