#include "ingest/screen.h"

#include "base/wide.h"
#include "ingest/error_codes.h"
#include "ingest/screen_run.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define NEAR_US ((int64_t)SCREEN_NEAR_S * 1000000)

/* The block's arrays are where the rows' are. */
static void point(struct screen_rows *rows, const struct log_plan *plan)
{
    rows->block.time_us = rows->times_us;
    rows->block.place = rows->place;
    for (size_t k = 0; k < plan->n_columns; k++) {
        enum channel channel = plan->columns[k].channel;
        rows->block.present[channel] = true;
        rows->block.value[channel] = rows->values + k * SCREEN_STRIDE;
        rows->block.flag[channel] = rows->flags + k * SCREEN_STRIDE;
    }
}

bool screen_rows_init(struct screen_rows *rows, const struct log_plan *plan)
{
    memset(rows, 0, sizeof *rows);
    rows->n_columns = plan->n_columns;
    rows->values = calloc(plan->n_columns * SCREEN_STRIDE + 1, sizeof *rows->values);
    rows->flags = calloc(plan->n_columns * SCREEN_STRIDE + 1, sizeof *rows->flags);
    rows->times_us = calloc(BLOCK_ROWS, sizeof *rows->times_us);
    rows->place = calloc(BLOCK_ROWS, sizeof *rows->place);
    if (rows->values == NULL || rows->flags == NULL || rows->times_us == NULL ||
        rows->place == NULL)
        return false;
    point(rows, plan);
    return true;
}

void screen_rows_free(struct screen_rows *rows)
{
    free(rows->values);
    free(rows->flags);
    free(rows->times_us);
    free(rows->place);
    memset(rows, 0, sizeof *rows);
}

void screen_rows_exchange(struct screen_rows *a, struct screen_rows *b)
{
    struct screen_rows rows = *a;
    *a = *b;
    *b = rows;
}

void screen_rows_clear(struct screen_rows *rows)
{
    for (size_t k = 0; k < rows->n_columns; k++) {
        if (rows->marked[k])
            memset(rows->flags + k * SCREEN_STRIDE, FLAG_GOOD, BLOCK_ROWS);
        rows->marked[k] = false;
    }
    rows->block.n = 0;
}

void screen_rows_good(struct screen_rows *rows, size_t k, size_t first, size_t n)
{
    if (rows->marked[k])
        memset(rows->flags + k * SCREEN_STRIDE + first, FLAG_GOOD, n);
}

void screen_rows_move(struct screen_rows *to, size_t at, const struct screen_rows *from,
                      size_t first, size_t n)
{
    memmove(to->times_us + at, from->times_us + first, n * sizeof *to->times_us);
    memmove(to->place + at, from->place + first, n * sizeof *to->place);
    for (size_t k = 0; k < to->n_columns; k++) {
        size_t column = k * SCREEN_STRIDE;
        memmove(to->values + column + at, from->values + column + first, n * sizeof *to->values);
        if (!from->marked[k]) {
            screen_rows_good(to, k, at, n);
            continue;
        }
        memmove(to->flags + column + at, from->flags + column + first, n * sizeof *to->flags);
        to->marked[k] = true;
    }
}

/* Codes that are possible readings of the column. */
static void find_codes(struct screen_column *to)
{
    size_t n;
    size_t found = 0;
    const struct error_code *codes = error_codes(&n);
    const struct log_column *column = to->column;
    const struct channel_row *row = channel_row(to->channel);
    to->code_si[0] = to->code_si[1] = NAN;
    for (size_t i = 0; i < n && found < 2; i++) {
        double value_si = log_column_si(column, codes[i].number);
        if (error_code_find(codes[i].number, column->unit) == &codes[i] &&
            value_si >= row->least_si && value_si <= row->most_si)
            to->code_si[found++] = value_si;
    }
}

static void set_column(struct screen_column *to, const struct log_column *column)
{
    const struct log_screening *stated = &column->screening;
    bool counts = log_column_counts(column);
    *to = (struct screen_column){.channel = column->channel,
                                 .column = column,
                                 .limits = screen_limits(column->channel),
                                 .step_si = INFINITY,
                                 .first_most_si = NAN,
                                 .run = {.value = NAN}};
    find_codes(to);
    to->spike_si = stated->spike_si < 0.0   ? 0.0
                   : stated->spike_si > 0.0 ? stated->spike_si
                   : to->limits->spike      ? to->limits->jump_si
                                            : 0.0;
    to->jump_si =
        to->spike_si > 0.0 ? fmin(to->spike_si, to->limits->jump_si) : to->limits->jump_si;
    if (to->limits->jump_si <= 0.0)
        to->jump_si = to->spike_si;
    bool fine = to->limits->fine_si > 0.0 || to->limits->fine_share > 0.0;
    to->runs = stated->stuck_us > 0 || (stated->stuck_us == 0 && fine);
    to->stuck_us = stated->stuck_us > 0 ? stated->stuck_us : (int64_t)SCREEN_STUCK_S * 1000000;
    to->rows_least = stated->stuck_us > 0           ? SCREEN_STUCK_ROWS_STATED
                     : to->limits->plateau_si > 0.0 ? SCREEN_SATURATED_ROWS
                                                    : SCREEN_STUCK_ROWS;
    to->stride = to->rows_least / 2;
    if (counts) {
        to->jump_si = to->spike_si = 0.0;
        to->runs = false;
    }
}

bool screen_init(struct screen *screen, const struct log_plan *plan,
                 const struct log_account *account, struct faults *faults)
{
    memset(screen, 0, sizeof *screen);
    screen->account = account;
    screen->n = plan->n_columns;
    if (!screen_rows_init(&screen->held, plan) || !screen_rows_init(&screen->fresh, plan))
        return fault_memory(faults);
    screen->fresh.block.gap_before = true;
    for (size_t k = 0; k < plan->n_columns; k++)
        set_column(&screen->column[k], &plan->columns[k]);
    return true;
}

void screen_free(struct screen *screen)
{
    screen_rows_free(&screen->held);
    screen_rows_free(&screen->fresh);
}

void screen_know_steps(struct screen *screen, const struct steps *steps)
{
    for (size_t k = 0; k < screen->n; k++) {
        screen->column[k].step_si = steps_least_si(steps, k);
        screen->column[k].first_most_si = steps->column[k].most_si;
    }
}

/* A step from or to a reading that was set aside is no jump: NaN is never greater. */
WIDE_CLONES
static bool any_jump(const double *value, size_t n, double jump_si)
{
    int64_t found = 0;
    for (size_t i = 1; i < n; i++)
        found |= fabs(value[i] - value[i - 1]) > jump_si;
    return found != 0;
}

/* Readings at `a` and `b`, a row apart, are neighbours. */
static bool near(const struct screen_view *view, ptrdiff_t a, ptrdiff_t b)
{
    return view_has(view, a) && view_has(view, b) && !isnan(view_value(view, a)) &&
           !isnan(view_value(view, b)) && view_us(view, b) - view_us(view, a) <= NEAR_US;
}

static bool is_spike(const struct screen_view *view, ptrdiff_t i, double limit_si)
{
    if (!(limit_si > 0.0) || !view_has(view, i - 1))
        return false;
    double before = view_value(view, i - 1);
    double up = view_value(view, i) - before;
    if (!(fabs(up) > limit_si) || !near(view, i - 1, i) || !near(view, i, i + 1))
        return false;
    double after = view_value(view, i + 1);
    double down = view_value(view, i) - after;
    return fabs(down) > limit_si && up * down > 0.0 && fabs(before - after) <= 0.5 * limit_si;
}

/* A code's run that ends with row i is set aside if it stands apart. Returns: whether it was. */
static bool take_codes(struct screen_view *view, struct screen_column *to, ptrdiff_t i)
{
    double code = view_value(view, i);
    ptrdiff_t first = i;
    if (!screen_is_code(to, code))
        return false;
    if (view_has(view, i + 1) && view_value(view, i + 1) == code)
        return false;
    while (view_has(view, first - 1) && view_value(view, first - 1) == code)
        if (i - --first >= SCREEN_CODES_MOST)
            return false;
    bool before = near(view, first - 1, first);
    bool after = near(view, i, i + 1);
    double jump_si = to->limits->jump_si;
    if ((before && fabs(view_value(view, first - 1) - code) <= jump_si) ||
        (after && fabs(view_value(view, i + 1) - code) <= jump_si) || !(before || after))
        return false;
    for (ptrdiff_t k = first; k <= i; k++)
        view_flag(view, to, k, FLAG_ERROR_CODE);
    return true;
}

/* Rows from `first` to `end` - 1, whose successors are known (or known not to be). */
static void take_jumps(struct screen_view *view, struct screen_column *to, ptrdiff_t first,
                       ptrdiff_t end)
{
    for (ptrdiff_t i = first; i < end; i++)
        if (!take_codes(view, to, i) && is_spike(view, i, to->spike_si))
            view_flag(view, to, i, FLAG_SPIKE);
}

static bool boundary_jump(const struct screen_view *view, double jump_si)
{
    return view_has(view, -1) && fabs(view_value(view, 0) - view_value(view, -1)) > jump_si;
}

static void judge_jumps(struct screen_view *view, struct screen_column *to)
{
    if (!(to->jump_si > 0.0))
        return;
    size_t n = view->n;
    bool here = any_jump(view->value, n, to->jump_si) || boundary_jump(view, to->jump_si);
    if (!here && !to->open_jump)
        return;
    take_jumps(view, to, view->n_held > 0 ? -1 : 0, (ptrdiff_t)n - 1);
    to->open_jump = here || (to->open_jump && screen_is_code(to, view->value[n - 1]));
    /* The last row held was the last of its run when that was taken in. */
    if (view_has(view, -1) && isnan(view_value(view, -1)) && to->run.n == 1)
        to->run = (struct screen_run){.value = NAN};
}

void screen_judge(struct screen *screen)
{
    for (size_t k = 0; k < screen->n; k++) {
        struct screen_column *to = &screen->column[k];
        struct screen_view view = screen_look(screen, k);
        judge_jumps(&view, to);
        if (to->runs)
            screen_judge_runs(&view, to, screen->account);
    }
}

void screen_take(struct screen *screen, struct screen_rows *rows)
{
    bool gap_before = screen->fresh.block.gap_before;
    screen_rows_exchange(&screen->fresh, rows);
    screen->fresh.block.gap_before = gap_before;
}

void screen_hold(struct screen *screen)
{
    screen_rows_exchange(&screen->held, &screen->fresh);
    screen->fresh.block.n = 0;
    screen->fresh.block.gap_before = false;
}

/* The last row held has no successor; codes, and runs that may have been codes, can still be told.
 */
void screen_settle(struct screen *screen)
{
    if (screen->held.block.n == 0)
        return;
    for (size_t k = 0; k < screen->n; k++) {
        struct screen_view view = screen_look(screen, k);
        struct screen_column *to = &screen->column[k];
        if (to->jump_si > 0.0 && to->open_jump)
            take_codes(&view, to, -1);
        if (to->runs && !isnan(view_value(&view, -1)))
            screen_settle_run(&view, to, screen->account);
    }
}

void screen_restart(struct screen *screen)
{
    screen->held.block.n = 0;
    screen->fresh.block.gap_before = true;
    for (size_t k = 0; k < screen->n; k++) {
        screen->column[k].run = (struct screen_run){.value = NAN};
        screen->column[k].open_jump = false;
        screen->column[k].phase = 0;
    }
}
