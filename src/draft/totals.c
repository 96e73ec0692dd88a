#include "draft/totals.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* So many rises tell a step; two of them that differ by less are the same but for rounding. A total
 * may run over its end or be reset in one of so many steps. Our own figures. */
enum { RISES_TOLD = 30, DECIMALS_MOST = 9, STEPS_A_FALL = 20 };
#define SAME 1e-12
#define COARSER 1.9

bool guess_is_total(const struct guess *guess)
{
    return guess->unit != NULL &&
           (guess->unit->dimension == DIM_VOLUME || guess->unit->dimension == DIM_ENERGY);
}

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

/* It rises in all, and falls seldom. */
static bool rises(const struct draft_log *log, const double *value)
{
    double before = NAN;
    size_t up = 0, down = 0;
    for (size_t row = 0; row < log->sample.n_rows; row++) {
        up += value[row] > before;
        down += value[row] < before;
        before = isnan(value[row]) ? before : value[row];
    }
    return up > 0 && down * STEPS_A_FALL <= up;
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
        snprintf(guess->unit_ask, sizeof guess->unit_ask,
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

static void settle(struct draft_log *log, enum channel channel)
{
    struct draft_column *column = draft_log_column(log, channel);
    if (column == NULL || !guess_is_total(&column->guess) || column->measure.n == 0)
        return;
    struct guess *guess = &column->guess;
    if (rises(log, log->value + (size_t)(column - log->columns) * log->sample.n_rows)) {
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
