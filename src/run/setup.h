/* The whole test as described: every section read, settled and checked against the others.
 */
#ifndef RUN_SETUP_H
#define RUN_SETUP_H

#include "description/schema.h"
#include "domain/collector.h"
#include "domain/construction.h"
#include "domain/error_source.h"
#include "domain/fluid_choice.h"
#include "domain/instrument.h"
#include "domain/instrument_kind.h"
#include "domain/pipe.h"
#include "domain/site.h"
#include "run/curve_section.h"
#include "run/log_section.h"
#include "run/report_section.h"
#include "run/run_section.h"

/* A key of [steady state] as written; the window's rules read it (window/rules.h). */
struct raw_key {
    char key[NAME_SIZE];
    char value[VALUE_SIZE];
    struct place at; /* of the value; file borrowed from the setup */
    struct place key_at;
};

struct test_setup {
    bool planned_too; /* a test without log and points will do; set it after init, and it stays */
    char *path; /* of the description, as given */
    char sha256[HASH_HEX_SIZE];

    struct collector collector;
    struct site site;
    bool sun_refused; /* the log's sunshine contradicts clock or site: noon is not known */
    struct fluid_choice fluid_choice;
    struct fluid fluid;
    struct log_section log; /* log.given: readings from logs */
    struct log_section *other_logs; /* [log NAME], of further loggers */
    size_t n_other_logs;
    struct points_section points; /* points.given: points typed by hand */
    struct instrument *instruments;
    size_t n_instruments;
    struct pipes pipes;
    struct construction construction; /* what `predict` looks at */
    char rules[VALUE_SIZE]; /* name of the rule set; "" when not stated */
    struct place rules_at;  /* line 0 when not stated */
    char checked[VALUE_SIZE]; /* copy of the standard, by whom, when; "" when not stated */
    struct place checked_at;
    struct raw_key *overrides; /* in file order */
    size_t n_overrides;
    struct report_section report;
    struct run_section *runs; /* at least one, unless the plate is untested */
    size_t n_runs;
    struct curve_sections curves; /* from publications; `compare` alone looks at them */

    struct error_registry errors;
};

void setup_init(struct test_setup *setup);
void setup_free(struct test_setup *setup);

/* The log of an instrument's number (struct instrument): 0 is [log]. */
const struct log_section *setup_log(const struct test_setup *setup, size_t i);

/* Reads and checks a description.
 * Returns: false with all its faults, in the order of their lines. Warnings and notes do not
 * fail. */
bool setup_read(const char *path, struct test_setup *setup, struct faults *faults);

/* The same from bytes in memory; path names it in faults and tells where files stand. */
bool setup_parse(const char *path, const char *bytes, size_t n, struct test_setup *setup,
                 struct faults *faults);

/* Every section's schema in the order of the documentation. */
const struct schema *const *setup_schemas(size_t *n);

#endif
