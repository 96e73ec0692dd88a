#include "draft/totals.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* So many rises tell a step; two of them that differ by less are the same but for rounding. A total
 * may run over its end or be reset in one of so many steps. Our own figures. */
enum { RISES_TOLD = 30, DECIMALS_MOST = 9, STEPS_A_FALL = 20 };
#define SAME 1e-12
#define COARSER 1.9

/* Digits after the decimal sign, at most, of the first numbers of a column. */
static int decimals(const struct draft_log *log, size_t column)
{
    int most = 0;
    for (size_t row = 0; row < log->sample.n_rows; row++) {
        const char *sign =
            strchr(sample_cell(&log->sample, row, column), log->sample.dialect.decimal);
        int n = 0;
        while (sign != NULL && sign[1 + n] >= '0' && sign[1 + n] <= '9')
            n++;
        most = n > most ? n : most;
    }
    return most < DECIMALS_MOST ? most : DECIMALS_MOST;
}

/* The smallest rise, or difference of two that follow each other; 0 where too few tell. */
static double finest_step(const struct draft_log *log, const double *value)
{
    double before = NAN, rise_before = NAN, finest = INFINITY;
    size_t rises = 0;
    for (size_t row = 0; row < log->sample.n_rows; row++) {
        if (isnan(value[row]))
            continue;
        double rise = value[row] - before;
        before = value[row];
        if (!(rise > SAME * before))
            continue;
        double off = fabs(rise - rise_before);
        finest = fmin(finest, off > SAME * before ? fmin(rise, off) : rise);
        rise_before = rise;
        rises++;
    }
    return rises < RISES_TOLD ? 0.0 : finest;
}

struct total_steps totals_steps(const struct draft_log *log, const double *value)
{
    struct total_steps steps = {0};
    double before = NAN;
    for (size_t row = 0; row < log->sample.n_rows; row++) {
        steps.up += value[row] > before;
        steps.down += value[row] < before;
        before = isnan(value[row]) ? before : value[row];
    }
    return steps;
}

bool totals_rises(const struct total_steps *steps)
{
    return steps->up > 0 && steps->down * STEPS_A_FALL <= steps->up;
}

static void find_step(struct draft_log *log, struct draft_column *column)
{
    size_t at = (size_t)(column - log->columns);
    double digit = pow(10.0, -decimals(log, at));
    double seen = finest_step(log, log->value + at * log->sample.n_rows);
    bool coarser = seen > COARSER * digit;
    snprintf(column->guess.step, sizeof column->guess.step, "%.3g %s", coarser ? seen : digit,
             column->guess.unit->name);
    snprintf(column->guess.step_why, sizeof column->guess.step_why, "%s",
             coarser ? "the smallest step among the rows looked at"
                     : "its last digit; the meter itself may move by more");
}

static void ask_for_unit(struct guess *guess)
{
    if (guess->channel == CH_METERED)
        snprintf(
            guess->unit_ask, sizeof guess->unit_ask,
            "its numbers fall or stand still, so '%s' is no total: kW or another power, or what "
            "came since the row before, of which 'gain' makes a power ('unit = kW' and 'gain = "
            "60' for kWh in a minute)",
            guess->unit_text);
    else
        snprintf(guess->unit_ask, sizeof guess->unit_ask,
                 "its numbers fall or stand still, so '%s' is no total: L/min or another flow, or "
                 "what came since the row before ('pulses per interval' with 'litres per pulse = 1 "
                 "%s')",
                 guess->unit_text, guess->unit->name);
}

static struct total_steps steps_of(const struct draft_log *log, const struct draft_column *column)
{
    return totals_steps(log, log->value + (size_t)(column - log->columns) * log->sample.n_rows);
}

/* A flow goes up and down; what only rises is rather a total, whatever its name says. */
static void doubt_flow(struct draft_log *log, struct draft_column *column)
{
    struct guess *guess = &column->guess;
    struct total_steps steps = steps_of(log, column);
    if (guess->raw || steps.up < RISES_TOLD || !totals_rises(&steps))
        return;
    if (guess->unit == NULL && guess->unit_ask[0] == '\0')
        snprintf(
            guess->unit_ask, sizeof guess->unit_ask,
            "its numbers only rise, from %.6g to %.6g: if it is the meter's total, L, m3 or gal "
            "(and state 'resolution')",
            column->measure.least, column->measure.most);
    else if (guess->unit != NULL)
        draft_log_doubt(
            log,
            "The flow ('%.60s') only rises, from %.6g to %.6g: is it the meter's total? "
            "Then its unit is a volume, such as L, and 'resolution' says its step.",
            log->sample.head.name[column - log->columns], column->measure.least,
            column->measure.most);
}

static void settle(struct draft_log *log, enum channel channel)
{
    struct draft_column *column = draft_log_column(log, channel);
    if (column == NULL || column->measure.n == 0)
        return;
    if (!guess_is_total(&column->guess)) {
        if (channel == CH_FLOW)
            doubt_flow(log, column);
        return;
    }
    struct guess *guess = &column->guess;
    struct total_steps steps = steps_of(log, column);
    if (totals_rises(&steps)) {
        size_t n = strlen(guess->unit_why);
        snprintf(guess->unit_why + n, sizeof guess->unit_why - n,
                 "; it %s falls: the meter's total", column->measure.counts ? "never" : "seldom");
        find_step(log, column);
        return;
    }
    ask_for_unit(guess);
    guess->unit = NULL;
}

void totals_settle(struct draft_log *log)
{
    settle(log, CH_FLOW);
    settle(log, CH_METERED);
}
