#include "ingest/log_plan.h"

#include "base/text.h"

#include <assert.h>
#include <stdlib.h>
#include <string.h>

/* The largest whole number below which a double holds all; half of a register of 32 bits. */
#define COUNT_MOST 9007199254740992.0
#define REGISTER_HALF 2147483648.0

void log_plan_init(struct log_plan *plan)
{
    memset(plan, 0, sizeof *plan);
    plan->separator = ',';
    plan->decimal = '.';
}

static void free_strings(char **strings, size_t n)
{
    for (size_t i = 0; i < n; i++)
        free(strings[i]);
    free(strings);
}

void log_plan_free(struct log_plan *plan)
{
    free_strings(plan->files, plan->n_files);
    free_strings(plan->missing, plan->n_missing);
    for (size_t i = 0; i < TIME_COLUMNS_MAX; i++)
        free(plan->time_columns[i]);
    free(plan->time_format);
    for (size_t i = 0; i < plan->n_columns; i++)
        free(plan->columns[i].name);
    free(plan->columns);
    log_plan_init(plan);
}

static bool add_string(char ***strings, size_t *n, const char *string, struct faults *faults)
{
    char **grown = realloc(*strings, (*n + 1) * sizeof **strings);
    if (grown == NULL)
        return fault_memory(faults);
    *strings = grown;
    char *copy = text_copy(string, faults);
    if (copy == NULL)
        return false;
    grown[(*n)++] = copy;
    return true;
}

bool log_plan_add_file(struct log_plan *plan, const char *path, struct faults *faults)
{
    return add_string(&plan->files, &plan->n_files, path, faults);
}

bool log_plan_add_missing(struct log_plan *plan, const char *marker, struct faults *faults)
{
    return add_string(&plan->missing, &plan->n_missing, marker, faults);
}

bool log_plan_add_column(struct log_plan *plan, enum channel channel, const char *name,
                         const struct unit *unit, double gain, double add, struct faults *faults)
{
    struct log_column *grown =
        realloc(plan->columns, (plan->n_columns + 1) * sizeof *plan->columns);
    if (grown == NULL)
        return fault_memory(faults);
    plan->columns = grown;
    char *copy = text_copy(name, faults);
    if (copy == NULL)
        return false;
    grown[plan->n_columns++] = (struct log_column){
        .channel = channel, .name = copy, .unit = unit, .gain = gain, .add = add};
    return true;
}

bool log_column_counts(const struct log_column *column)
{
    enum dimension dimension = column->unit->dimension;
    return dimension == DIM_PULSES || dimension == DIM_VOLUME || dimension == DIM_ENERGY;
}

struct log_range log_column_range(const struct log_column *column)
{
    const struct channel_row *row = channel_row(column->channel);
    if (!log_column_counts(column))
        return (struct log_range){row->least_si, row->most_si};
    bool counter = text_same(column->unit->name, "pulses");
    return (struct log_range){counter ? -REGISTER_HALF : 0.0, COUNT_MOST};
}

bool log_column_since_row(const struct log_column *column)
{
    return column->joined == JOINED_SUM;
}

double log_column_si(const struct log_column *column, double number)
{
    double x = column->gain * number + column->add;
    return column->signal != NULL ? signal_value(column->signal, x)
                                  : unit_absolute(column->unit, x);
}

void log_plan_screen_column(struct log_plan *plan, struct log_screening screening)
{
    plan->columns[plan->n_columns - 1].screening = screening;
}

/* Puts a copy of `string` (NULL: nothing) in the place of *target. */
static bool replace(char **target, const char *string, struct faults *faults)
{
    char *copy = string == NULL ? NULL : text_copy(string, faults);
    if (copy == NULL && string != NULL)
        return false;
    free(*target);
    *target = copy;
    return true;
}

bool log_plan_set_time(struct log_plan *plan, const char *first, const char *second,
                       const char *format, struct faults *faults)
{
    plan->n_time_columns = second == NULL ? 1 : 2;
    return replace(&plan->time_columns[0], first, faults) &&
           replace(&plan->time_columns[1], second, faults) &&
           replace(&plan->time_format, format, faults);
}

bool log_plan_add_time(struct log_plan *plan, const char *column, struct faults *faults)
{
    assert(plan->n_time_columns < TIME_COLUMNS_MAX);
    return replace(&plan->time_columns[plan->n_time_columns++], column, faults);
}
