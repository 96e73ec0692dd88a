/* The kinds of run: one row each. A new kind is a row here and a file run/KIND*.c; no writer
 * changes.
 */
#ifndef RUN_RUN_H
#define RUN_RUN_H

#include "base/faults.h"
#include "result/document.h"
#include "run/reduction.h"

#include <stdbool.h>
#include <stddef.h>

struct run_row {
    enum run_kind kind;
    const char *name; /* as in a description: "efficiency" */
    /* Fills the document with what the run found. Returns: false with data faults when it cannot
     * give what was asked for; the document then holds what can be said all the same. */
    bool (*perform)(const struct reduction *reduction, const struct run_section *run,
                    struct document *doc, struct faults *faults);
};

const struct run_row *run_row(enum run_kind kind);

bool run_efficiency(const struct reduction *reduction, const struct run_section *run,
                    struct document *doc, struct faults *faults);

bool run_modifier(const struct reduction *reduction, const struct run_section *run,
                  struct document *doc, struct faults *faults);

/* The checks were made before the reading (run/checks.h); these say what they found. */
bool run_zero_check(const struct reduction *reduction, const struct run_section *run,
                    struct document *doc, struct faults *faults);
bool run_thermometers_together(const struct reduction *reduction, const struct run_section *run,
                               struct document *doc, struct faults *faults);
bool run_bucket_stopwatch(const struct reduction *reduction, const struct run_section *run,
                          struct document *doc, struct faults *faults);

/* The check runs alone. */
bool runs_perform_checks(const struct reduction *reduction, struct document *doc,
                         struct faults *faults);

/* Every run of the description, after what reduction_document (run/reduction_document.h) said.
 * Returns: false if any run could not give what was asked for, or memory is short. */
bool runs_perform(const struct reduction *reduction, struct document *doc, struct faults *faults);

#endif
