#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "tests/unit/aid_dialect.h"

#include "tests/unit/aid_ingest.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { INLET = 2 }; /* in the order of aid_plan */

static void rename_column(struct log_plan *plan, size_t i, const char *name)
{
    free(plan->columns[i].name);
    plan->columns[i].name = strdup(name);
    assert_non_null(plan->columns[i].name);
}

static void number_columns(struct log_plan *plan)
{
    static const char *const numbers[] = {"2", "3", "4", "5", "6"};
    static struct faults faults;
    faults_init(&faults);
    assert_true(log_plan_set_time(plan, "1", NULL, "ISO 8601", &faults));
    for (size_t i = 0; i < plan->n_columns; i++)
        rename_column(plan, i, numbers[i]);
}

void aid_dialect_plan(struct log_plan *plan, const char *folder, const struct dialect *dialect)
{
    char path[200];
    snprintf(path, sizeof path, "%s/%s", folder, dialect->file);
    aid_plan(plan, path);
    plan->separator = dialect->separator == '\0' ? ',' : dialect->separator;
    plan->decimal = dialect->decimal == '\0' ? '.' : dialect->decimal;
    plan->encoding = dialect->encoding;
    plan->no_names = dialect->no_names;
    plan->names_line = dialect->names_line;
    assert_int_equal(plan->columns[INLET].channel, CH_INLET);
    plan->columns[INLET].head_unit_wrong = dialect->head_unit_wrong;
    if (dialect->inlet != NULL)
        rename_column(plan, INLET, dialect->inlet);
    if (dialect->no_names)
        number_columns(plan);
}
