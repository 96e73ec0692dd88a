#include "ingest/complaint_turn.h"

#include "base/text.h"
#include "ingest/complaint.h"

#include <math.h>

/* The columns that turn. */
struct turned {
    struct text says;
    const char *name; /* of the last one */
    size_t n;
};

/* ", 'T in' goes from 41.2 degC to 106.1 degC", where that may be a turn of the unit: water that
 * goes from one inlet temperature to the next is no sign of it. */
static void say_column(const struct log_plan *plan, enum channel channel, double before,
                       double after, bool to_F, struct turned *turned)
{
    char from[QUOTED_SIZE], to[QUOTED_SIZE];
    if (!unit_turn_leaps(before, after, to_F))
        return;
    for (size_t k = 0; k < plan->n_columns; k++) {
        const struct log_column *column = &plan->columns[k];
        if (column->channel != channel)
            continue;
        value_text(column, before, from);
        value_text(column, after, to);
        text_addf(&turned->says, "%s'%s' goes from %s to %s", turned->n > 0 ? ", " : "",
                  column->name, from, to);
        turned->name = column->name;
        turned->n++;
    }
}

bool complain_turn(const struct log_plan *plan, const struct log_account *account,
                   const struct unit_turn *turn, struct faults *faults)
{
    const struct unit_turn_row *before = &turn->before, *after = &turn->after;
    bool sure = turn->kind == TURN_SURE;
    if (turn->kind == TURN_NONE)
        return true;
    struct turned turned = {.n = 0};
    struct text who = {0};
    say_column(plan, CH_AMBIENT, before->air_degC, after->air_degC, turn->to_F, &turned);
    say_column(plan, CH_INLET, before->in_degC, after->in_degC, turn->to_F, &turned);
    say_column(plan, CH_OUTLET, before->out_degC, after->out_degC, turn->to_F, &turned);
    if (turned.n == 1)
        text_addf(&who, "'%s' %s", turned.name, sure ? "is" : "may be");
    else
        text_addf(&who, "the temperatures %s", sure ? "are" : "may be");
    struct place at = fault_at(account->files[after->place.file].path, (long)after->place.line, 0);
    struct fault *fault = fault_new(faults, sure ? FAULT_INPUT : FAULT_WARNING, at);
    fault_found(fault,
                "%s in degrees %s from here on, and in degrees %s up to %s:%lu: %s",
                text_string(&who), turn->to_F ? "Fahrenheit" : "Celsius",
                turn->to_F ? "Celsius" : "Fahrenheit", account->files[before->place.file].path,
                (unsigned long)before->place.line, text_string(&turned.says));
    fault_expected(fault, "each column in one unit from the first row to the last");
    if (sure)
        fault_hint(fault, "convert the rows of the other unit in the log, or leave them out: which "
                          "rows are right nobody can tell from here");
    else
        fault_hint(fault,
                   "look at the logger's or the meter's setting of that day%s; if all is well, "
                   "nothing needs to be done",
                   turned.n == 1 ? ", for the others too, which may have changed meanwhile" : "");
    text_free(&turned.says);
    text_free(&who);
    return !sure;
}
