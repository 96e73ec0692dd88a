#include "ingest/complaint_turn.h"

#include "base/text.h"
#include "ingest/complaint.h"

#include <math.h>

/* What goes on as it was is not named. */
#define SAME_K 5.0

/* ", 'T in' goes from 41.2 degC to 106.1 degC" */
static void say_column(const struct log_plan *plan, enum channel channel, double before,
                       double after, struct text *out)
{
    char from[QUOTED_SIZE], to[QUOTED_SIZE];
    if (!(fabs(after - before) > SAME_K))
        return;
    for (size_t k = 0; k < plan->n_columns; k++) {
        const struct log_column *column = &plan->columns[k];
        if (column->channel != channel)
            continue;
        value_text(column, before, from);
        value_text(column, after, to);
        text_addf(out, "%s'%s' goes from %s to %s", out->length > 0 ? ", " : "", column->name, from,
                  to);
    }
}

bool complain_turn(const struct log_plan *plan, const struct log_account *account,
                   const struct unit_turn *turn, struct faults *faults)
{
    const struct unit_turn_row *before = &turn->before, *after = &turn->after;
    bool sure = turn->kind == TURN_SURE;
    if (turn->kind == TURN_NONE)
        return true;
    struct text columns = {0};
    say_column(plan, CH_AMBIENT, before->air_degC, after->air_degC, &columns);
    say_column(plan, CH_INLET, before->in_degC, after->in_degC, &columns);
    say_column(plan, CH_OUTLET, before->out_degC, after->out_degC, &columns);
    struct place at = fault_at(account->files[after->place.file].path, (long)after->place.line, 0);
    struct fault *fault = fault_new(faults, sure ? FAULT_INPUT : FAULT_WARNING, at);
    fault_found(fault,
                "the temperatures %s in degrees %s from here on, and in degrees %s up to %s:%lu: "
                "%s",
                sure ? "are" : "may be", turn->to_F ? "Fahrenheit" : "Celsius",
                turn->to_F ? "Celsius" : "Fahrenheit", account->files[before->place.file].path,
                (unsigned long)before->place.line, text_string(&columns));
    fault_expected(fault, "each column in one unit from the first row to the last");
    fault_hint(fault, sure ? "convert the rows of the other unit in the log, or leave them out: "
                             "which rows are right nobody can tell from here"
                           : "look at the logger's or the meter's setting of that day; if all is "
                             "well, nothing needs to be done");
    text_free(&columns);
    return !sure;
}
