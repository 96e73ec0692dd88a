#include "ingest/row_form.h"

#include "base/numbers.h"
#include "base/text.h"

#include <math.h>
#include <string.h>

/* Beyond it a counter's steps are no longer whole in a double. */

static bool refuse(const char *found, const char *hint, struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(NULL, 0, 0));
    fault_found(fault, "%s", found);
    fault_hint(fault, "%s", hint);
    return false;
}

static bool add_marker(struct row_form *form, const char *marker, struct faults *faults)
{
    double value;
    if (number_read(marker, strlen(marker), form->plan->decimal, &value) ||
        number_read(marker, strlen(marker), '.', &value)) {
        if (form->n_numbers == MARKERS_MAX)
            return refuse("more than 32 missing markers", "name fewer in 'missing'", faults);
        form->number_marker[form->n_numbers++] = value;
        return true;
    }
    if (form->n_words == MARKERS_MAX)
        return refuse("more than 32 missing markers", "name fewer in 'missing'", faults);
    form->word_marker[form->n_words++] = marker;
    return true;
}

static bool add_markers(struct row_form *form, struct faults *faults)
{
    if (form->plan->n_missing == 0)
        return add_marker(form, "NAN", faults) && add_marker(form, "NA", faults);
    for (size_t i = 0; i < form->plan->n_missing; i++)
        if (!add_marker(form, form->plan->missing[i], faults))
            return false;
    return true;
}

static bool check_column(const struct log_plan *plan, size_t i, struct faults *faults)
{
    const struct log_column *column = &plan->columns[i];
    if ((int)column->channel < 0 || column->channel >= CH_LOGGED)
        return refuse("a column is planned for a channel that no log carries",
                      "choose one of the channels of the manual", faults);
    for (size_t k = 0; k < i; k++) {
        const struct log_column *earlier = &plan->columns[k];
        bool same_name = text_same(earlier->name, column->name);
        if (!same_name && earlier->channel != column->channel)
            continue;
        struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(NULL, 0, 0));
        if (same_name)
            fault_found(fault, "column '%s' is said to carry two channels", column->name);
        else
            fault_found(fault, "channel '%s' is said to stand in two columns, '%s' and '%s'",
                        channel_row(column->channel)->word, earlier->name, column->name);
        fault_hint(fault, "let each instrument name its own column and its own channel");
        return false;
    }
    return true;
}

static bool check_signs(const struct log_plan *plan, struct faults *faults)
{
    if (strchr(",;\t", plan->separator) == NULL || plan->separator == '\0')
        return refuse("the separator is none of comma, semicolon and tab",
                      "state 'separator' in [log]", faults);
    if (plan->decimal != '.' && plan->decimal != ',')
        return refuse("the decimal sign is neither point nor comma", "state 'decimal' in [log]",
                      faults);
    if (plan->n_time_columns < 1 || plan->n_time_columns > TIME_COLUMNS_MAX ||
        plan->time_format == NULL)
        return refuse("no column is said to hold the time", "state 'time' in [log]", faults);
    return true;
}

bool row_form_init(struct row_form *form, const struct log_plan *plan, struct faults *faults)
{
    memset(form, 0, sizeof *form);
    form->plan = plan;
    if (!check_signs(plan, faults) || !add_markers(form, faults))
        return false;
    if (!stamp_compile_year(plan->time_format, plan->zone_in_stamp, plan->zone, plan->year,
                            fault_at(NULL, 0, 0), &form->stamp, faults))
        return false;
    form->stamp.decimal = plan->decimal;
    stamp_of_columns(&form->stamp, plan->n_time_columns);
    for (size_t i = 0; i < plan->n_columns; i++) {
        if (!check_column(plan, i, faults))
            return false;
        const struct log_column *column = &plan->columns[i];
        const struct log_range range = log_column_range(column);
        form->scale[i] = (struct row_scale){.gain = column->gain,
                                            .add = column->add,
                                            .scale = column->unit->scale,
                                            .offset = column->unit->offset,
                                            .least_si = range.least_si,
                                            .most_si = range.most_si};
        /* Its value is no straight line: nothing is in range on the short way. */
        if (column->signal != NULL)
            form->scale[i].least_si = INFINITY;
    }
    return true;
}
