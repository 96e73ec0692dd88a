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

static void rename_inlet(struct log_plan *plan, const char *name)
{
    for (size_t i = 0; i < plan->n_columns; i++) {
        if (plan->columns[i].channel != CH_INLET)
            continue;
        free(plan->columns[i].name);
        plan->columns[i].name = strdup(name);
        assert_non_null(plan->columns[i].name);
    }
}

void aid_dialect_plan(struct log_plan *plan, const char *folder, const struct dialect *dialect)
{
    char path[200];
    snprintf(path, sizeof path, "%s/%s", folder, dialect->file);
    aid_plan(plan, path);
    plan->separator = dialect->separator == '\0' ? ',' : dialect->separator;
    plan->decimal = dialect->decimal == '\0' ? '.' : dialect->decimal;
    plan->encoding = dialect->encoding;
    if (dialect->inlet != NULL)
        rename_inlet(plan, dialect->inlet);
}
