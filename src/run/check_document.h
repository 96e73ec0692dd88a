/* What a check says: shared by the documents of the three kinds. */
#ifndef RUN_CHECK_DOCUMENT_H
#define RUN_CHECK_DOCUMENT_H

#include "fit/combine.h"
#include "result/document.h"
#include "run/reduction.h"
#include "run/run.h"

#include <stdbool.h>

/* The result of a run; every check run has one. */
const struct check_result *check_result_of(const struct reduction *reduction,
                                           const struct run_section *run);

/* Half of the 95 % interval of a scatter with its degrees of freedom and of what is left. */
double check_half_95(double u, double dof, double u_left);

/* Adds the fault of a check that found nothing. Returns: false */
bool check_not_found(const struct check_result *result, struct faults *faults);

/* One row of the run's table and one number of results.json. */
struct check_line {
    const char *what;   /* "outlet": name of the instrument */
    const char *symbol; /* "offset", "zero", "gain" */
    const char *unit;
    double value;
    double u;
    double dof;
    double u_left;
    double u_before;
};

struct table *check_table(const struct check_result *result, const char *note, struct document *doc,
                          struct faults *faults);
bool check_line_add(const struct check_result *result, const struct check_line *line,
                    struct table *table, struct document *doc, struct faults *faults);

/* The sentences about the offsets of the probes, and their lines. */
bool check_probes_say(const struct check_result *result, struct table *table, struct document *doc,
                      struct faults *faults);

#endif
