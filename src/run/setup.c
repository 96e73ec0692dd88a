#include "run/setup.h"

#include "base/files.h"
#include "domain/error_expand.h"
#include "domain/storage.h"
#include "run/check.h"
#include "run/log_sections.h"
#include "run/setup_heat.h"
#include "run/setup_parts.h"
#include "run/setup_stage.h"
#include "run/swaps.h"
#include "window/rules.h"

#include <stdlib.h>
#include <string.h>

static const char *const named_sections[] = {"log", "instrument", "pipe", "run", "curve"};

static const struct schema *const schemas[] = {
    &collector_schema,      &site_schema,        &fluid_schema,      &log_schema,
    &other_log_schema,      &points_schema,      &instrument_schema, &pipe_schema,
    &steady_section_schema, &report_schema,      &run_schema,        &curve_schema,
    &cover_schema,          &inner_cover_schema, &absorber_schema,   &tubes_schema,
    &bond_schema,           &back_schema,        &edge_schema,       &stagnation_schema,
    &operating_schema};

const struct schema *const *setup_schemas(size_t *n)
{
    *n = LENGTH(schemas);
    return schemas;
}

void setup_init(struct test_setup *setup)
{
    memset(setup, 0, sizeof *setup);
    registry_init(&setup->errors);
}

void setup_free(struct test_setup *setup)
{
    for (size_t i = 0; i < setup->n_runs; i++)
        run_section_free(&setup->runs[i]);
    free(setup->runs);
    for (size_t i = 0; i < setup->n_instruments; i++)
        stated_list_free(&setup->instruments[i].pairs);
    curves_free(&setup->curves);
    free(setup->instruments);
    free(setup->overrides);
    log_section_free(&setup->log);
    for (size_t i = 0; i < setup->n_other_logs; i++)
        log_section_free(&setup->other_logs[i]);
    free(setup->other_logs);
    points_section_free(&setup->points);
    report_section_free(&setup->report);
    registry_free(&setup->errors);
    free(setup->path);
    setup_init(setup);
}

/* A section whose head was refused for want of a name is not read. */
static size_t count_sections(const struct description *description, const struct schema *schema)
{
    size_t n = 0;
    for (size_t i = 0; i < description->n_sections; i++)
        n += text_same(description->sections[i].kind, schema->kind);
    return n;
}

static bool refuse_absent(const struct making *making, const char *head, const char *expected)
{
    if (!making->whole)
        return false;
    struct fault *fault =
        fault_new(making->faults, FAULT_INPUT, fault_at(making->setup->path, 0, 0));
    fault_found(fault, "there is no section %s", head);
    fault_expected(fault, "%s", expected);
    return false;
}

static bool read_collector(struct making *making)
{
    struct test_setup *setup = making->setup;
    const struct section *section = description_find(making->description, "collector");
    if (section == NULL && setup_published(setup))
        return true;
    if (section == NULL)
        return refuse_absent(making, "[collector]",
                             "'[collector]' and below it 'gross area = 2.05 m2'");
    if (!schema_read(&collector_schema, making->description, section, &setup->collector,
                     making->faults) ||
        !making->description->whole)
        return false;
    return collector_settle(&setup->collector, setup->path,
                            section_place(making->description, section), making->faults);
}

static bool read_site(struct making *making)
{
    struct test_setup *setup = making->setup;
    const struct section *section = description_find(making->description, "site");
    if (section == NULL)
        return true;
    bool good =
        schema_read(&site_schema, making->description, section, &setup->site, making->faults);
    return site_settle(&setup->site, setup->path, making->faults) && good;
}

static bool read_fluid(struct making *making)
{
    struct test_setup *setup = making->setup;
    const struct section *section = description_find(making->description, "fluid");
    if (section != NULL && !schema_read(&fluid_schema, making->description, section,
                                        &setup->fluid_choice, making->faults))
        return false;
    return fluid_choose(&setup->fluid_choice, setup->path, &setup->fluid, making->faults);
}

static bool read_points_section(struct making *making)
{
    struct test_setup *setup = making->setup;
    const struct section *section = description_find(making->description, "points");
    if (section == NULL)
        return true;
    setup->points.given = true;
    setup->points.head = section_place(making->description, section);
    setup->points.head.file = setup->path;
    bool good = schema_read(&points_schema, making->description, section, &setup->points,
                            making->faults);
    return files_settle(&setup->points.files, setup->path, making->faults) && good;
}

static bool read_report(struct making *making)
{
    struct report_section *report = &making->setup->report;
    const struct section *section = description_find(making->description, "report");
    report->given = section != NULL;
    return section == NULL ||
           schema_read(&report_schema, making->description, section, report, making->faults);
}

static bool read_instrument(struct making *making, const struct section *section)
{
    struct test_setup *setup = making->setup;
    struct instrument *instrument = &setup->instruments[setup->n_instruments++];
    strcpy(instrument->name, section->name);
    instrument->head = fault_at(setup->path, section->line, section->column);
    bool whole =
        schema_read(&instrument_schema, making->description, section, instrument, making->faults);
    bool good = instrument_settle(instrument, whole, setup->path, making->faults);
    making->whole_instruments = making->whole_instruments && instrument->measures.at.given;
    return whole && good;
}

static bool read_instruments(struct making *making)
{
    struct test_setup *setup = making->setup;
    const struct description *description = making->description;
    size_t n = count_sections(description, &instrument_schema);
    making->whole_instruments = true;
    setup->instruments = calloc(n + 1, sizeof *setup->instruments);
    if (setup->instruments == NULL)
        return fault_memory(making->faults);
    bool good = true;
    for (size_t i = 0; i < description->n_sections; i++)
        if (text_same(description->sections[i].kind, instrument_schema.kind))
            good = read_instrument(making, &description->sections[i]) && good;
    good = log_sections_assign(setup, making->faults) && good;
    return instruments_check(setup->instruments, setup->n_instruments, setup->path,
                             making->faults) &&
           good;
}

static bool read_pipes(struct making *making)
{
    const struct description *description = making->description;
    bool good = true;
    for (size_t i = 0; i < description->n_sections; i++) {
        const struct section *section = &description->sections[i];
        if (!text_same(section->kind, pipe_schema.kind))
            continue;
        struct place head = section_place(description, section);
        head.file = making->setup->path;
        struct pipe *pipe = pipes_take(&making->setup->pipes, section->name, head, making->faults);
        good = pipe != NULL && schema_read(&pipe_schema, description, section, pipe,
                                           making->faults) &&
               pipe_settle(pipe, head, making->faults) && good;
    }
    return good;
}

static bool read_run(struct making *making, const struct section *section)
{
    struct test_setup *setup = making->setup;
    struct run_section *run = &setup->runs[setup->n_runs++];
    strcpy(run->name, section->name);
    run->head = fault_at(setup->path, section->line, section->column);
    bool good = schema_read(&run_schema, making->description, section, run, making->faults);
    return run_section_settle(run, setup->path, log_zone(&setup->log), making->faults) && good;
}

static bool read_runs(struct making *making)
{
    struct test_setup *setup = making->setup;
    const struct description *description = making->description;
    size_t n = count_sections(description, &run_schema);
    if (n == 0 && (setup_untested(setup) || setup_published(setup)))
        return true;
    if (n == 0)
        return refuse_absent(making, "[run NAME]",
                             "'[run curve]' and below it 'kind = efficiency'");
    setup->runs = calloc(n, sizeof *setup->runs);
    if (setup->runs == NULL)
        return fault_memory(making->faults);
    bool good = true;
    for (size_t i = 0; i < description->n_sections; i++)
        if (text_same(description->sections[i].kind, run_schema.kind))
            good = read_run(making, &description->sections[i]) && good;
    return good;
}

static bool fill(struct making *making)
{
    struct test_setup *setup = making->setup;
    bool good = schema_sections(schemas, LENGTH(schemas), making->description, making->faults);
    making->whole = good && making->description->whole;
    good = curves_read(&setup->curves, making->description, setup->path, making->faults) && good;
    good = log_sections_read(setup, making->description, making->faults) && good;
    good = read_points_section(making) && good;
    good = read_collector(making) && good;
    good = read_site(making) && good;
    good = read_fluid(making) && good;
    bool instruments = read_instruments(making);
    good = read_pipes(making) && good;
    good = setup_read_steady(making) && good;
    good = construction_read(&setup->construction, &setup->collector, making->description,
                             setup->path, making->faults) &&
           good;
    good = read_report(making) && good;
    good = read_runs(making) && good;
    good = setup_check(making, instruments) && instruments && good;
    good = swaps_settle(setup, making->faults) && good;
    good = good && checks_fit(setup, making->faults);
    if (good && setup->collector.area_m2 > 0)
        storage_settle(&setup->collector, setup->fluid_choice.transit_s.value > 0 &&
                           !setup_heat_by_meter(setup),
                       !rules_set_is_standard(setup->rules));
    return good && making->whole &&
           errors_expand(setup->instruments, setup->n_instruments, &setup->pipes,
                         &setup->collector, &setup->fluid_choice, &setup->fluid, setup->path,
                         &setup->errors, making->faults);
}

/* The description's own path and hash, then its sections. */
static bool make_setup(struct test_setup *setup, const struct description *description, size_t from,
                       struct faults *faults)
{
    setup->path = text_copy(description->path, faults);
    if (setup->path == NULL)
        return false;
    memcpy(setup->sha256, description->sha256, sizeof setup->sha256);
    if (description->n_sections == 0) {
        if (description->whole)
            fault_found(fault_new(faults, FAULT_INPUT, fault_at(setup->path, 0, 0)),
                        "the file holds nothing but comments");
        return false;
    }
    struct making making = {.setup = setup, .description = description, .faults = faults};
    bool good = fill(&making);
    schema_sort_faults(faults, from);
    return good;
}

bool setup_parse(const char *path, const char *bytes, size_t n, struct test_setup *setup,
                 struct faults *faults)
{
    struct description description;
    size_t from = faults->n;
    bool planned_too = setup->planned_too;
    setup_free(setup);
    setup->planned_too = planned_too;
    description_init(&description);
    description_parse(&description, path, bytes, n, named_sections, LENGTH(named_sections), faults);
    bool good = description.path != NULL && make_setup(setup, &description, from, faults);
    description_free(&description);
    return good;
}

bool setup_read(const char *path, struct test_setup *setup, struct faults *faults)
{
    struct text bytes = {0};
    bool good = file_read(path, DESCRIPTION_BYTES, &bytes, faults) &&
                setup_parse(path, text_string(&bytes), bytes.length, setup, faults);
    text_free(&bytes);
    return good;
}
