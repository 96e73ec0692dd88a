#include "ingest/screen_run.h"

#include <math.h>

enum { STEP_ROWS = 16 };

struct screen_view screen_look(struct screen *screen, size_t k)
{
    enum channel channel = screen->column[k].channel;
    struct screen_rows *held = &screen->held;
    size_t n_held = held->block.n;
    return (struct screen_view){.value = screen->fresh.block.value[channel],
                                .flag = screen->fresh.block.flag[channel],
                                .marked = &screen->fresh.marked[k],
                                .time_us = screen->fresh.block.time_us,
                                .place = screen->fresh.place,
                                .n = screen->fresh.block.n,
                                .held_value = held->block.value[channel] + n_held,
                                .held_flag = held->block.flag[channel] + n_held,
                                .held_marked = &held->marked[k],
                                .held_us = held->block.time_us + n_held,
                                .held_place = held->place + n_held,
                                .n_held = n_held};
}

void view_flag(struct screen_view *view, struct screen_column *to, ptrdiff_t i,
               enum reading_flag flag)
{
    double *value = i >= 0 ? &view->value[i] : &view->held_value[i];
    uint8_t *at = i >= 0 ? &view->flag[i] : &view->held_flag[i];
    if (*at != FLAG_GOOD)
        return;
    if (!to->first[flag].any)
        to->first[flag] =
            (struct screen_first){true, i >= 0 ? view->place[i] : view->held_place[i], *value};
    *at = (uint8_t)flag;
    *(i >= 0 ? view->marked : view->held_marked) = true;
    *value = NAN;
}

/* Takes the steps into rows up to `end` - 1 into account; `from` was the end of the last call. */
static void take_steps(const struct screen_view *view, struct screen_column *to, size_t from,
                       size_t end)
{
    size_t i = from + (STEP_ROWS - (to->phase + from) % STEP_ROWS) % STEP_ROWS;
    for (; i < end; i += STEP_ROWS) {
        if (!view_has(view, (ptrdiff_t)i - 1))
            continue;
        double step = fabs(view->value[i] - view_value(view, (ptrdiff_t)i - 1));
        if (step > 0.0 && step < to->step_si)
            to->step_si = step;
    }
}

/* Whether a run of this number flickers if the channel's steps are step_si. */
static bool is_fine(const struct screen_column *to, double value, double step_si)
{
    double stated = to->column->screening.resolution_si;
    double step = stated > 0.0 ? stated : step_si;
    double fine = to->limits->fine_si + to->limits->fine_share * fabs(value);
    /* Steps are differences of readings: a step of 0.1 of 42.3 is 0.1 but for the last bits. */
    return step <= fine * (1.0 + 1e-9) + 1e-12 * fabs(value);
}

/* Nothing before the run, whose last row is `last`, was higher. */
static bool at_most(const struct screen_view *view, const struct screen_column *to, ptrdiff_t last,
                    const struct log_account *account)
{
    if (account->channels[to->channel].most_si > to->run.value)
        return false;
    ptrdiff_t first = last + 1 - (ptrdiff_t)to->run.n;
    for (ptrdiff_t i = -(ptrdiff_t)view->n_held; i < first; i++)
        if (view_value(view, i) > to->run.value)
            return false;
    return true;
}

/* 0 degC is a temperature like others. */
static bool rests(const struct screen_column *to)
{
    return to->limits->rest_si > 0.0 && fabs(to->run.value) <= to->limits->rest_si;
}

static enum reading_flag judge(const struct screen_view *view, const struct screen_column *to,
                               ptrdiff_t last, const struct log_account *account)
{
    const struct screen_run *run = &to->run;
    int64_t lasted_us = view_us(view, last) - run->first_us;
    bool stated = to->column->screening.stuck_us > 0;
    if (rests(to) || (!stated && !is_fine(to, run->value, run->step_si)))
        return FLAG_GOOD;
    if (!stated && to->limits->plateau_si > 0.0 && run->value >= to->limits->plateau_si &&
        run->n >= SCREEN_SATURATED_ROWS && lasted_us >= (int64_t)SCREEN_SATURATED_S * 1000000 &&
        at_most(view, to, last, account))
        return to->first_most_si > run->value ? FLAG_STUCK : FLAG_SATURATED;
    bool long_enough = lasted_us >= to->stuck_us || (!stated && run->n >= BLOCK_ROWS);
    uint64_t rows = stated ? SCREEN_STUCK_ROWS_STATED : SCREEN_STUCK_ROWS;
    return run->n >= rows && long_enough ? FLAG_STUCK : FLAG_GOOD;
}

/* Keeps the run that was not set aside if it was for its steps alone. */
static void note_still(const struct screen_view *view, struct screen_column *to, ptrdiff_t last)
{
    const struct screen_run *run = &to->run;
    int64_t lasted_us = view_us(view, last) - run->first_us;
    if (to->column->screening.stuck_us != 0 || rests(to) || run->n < SCREEN_STUCK_ROWS ||
        run->n <= to->still.n || lasted_us < to->stuck_us)
        return;
    to->still = *run;
    to->still_us = lasted_us;
}

bool screen_still(const struct screen *screen, size_t k, struct log_still *still)
{
    const struct screen_column *of = &screen->column[k];
    if (of->still.n == 0 || !is_fine(of, of->still.value, of->step_si))
        return false;
    *still = (struct log_still){.n = of->still.n,
                                .first = {of->still.place.file, (long)of->still.place.line},
                                .value_si = of->still.value,
                                .lasted_us = of->still_us};
    return true;
}

/* A code whose successor is not known yet. */
static bool may_be_code(const struct screen_view *view, const struct screen_column *to,
                        ptrdiff_t last)
{
    return view->n > 0 && last == (ptrdiff_t)view->n - 1 && to->run.n <= SCREEN_CODES_MOST &&
           screen_is_code(to, to->run.value);
}

/* The run reaches row `last`, all of its rows since `fresh` are new. */
static void take_run(struct screen_view *view, struct screen_column *to, ptrdiff_t fresh,
                     ptrdiff_t last, const struct log_account *account)
{
    struct screen_run *run = &to->run;
    ptrdiff_t first = fresh;
    if (run->n < to->rows_least || may_be_code(view, to, last))
        return;
    if (run->flag == FLAG_GOOD) {
        run->flag = judge(view, to, last, account);
        first = last + 1 - (ptrdiff_t)run->n;
    }
    if (run->flag == FLAG_GOOD) {
        note_still(view, to, last);
        return;
    }
    if (first < -(ptrdiff_t)view->n_held)
        first = -(ptrdiff_t)view->n_held;
    for (ptrdiff_t i = first; i <= last; i++)
        view_flag(view, to, i, run->flag);
}

void screen_settle_run(struct screen_view *view, struct screen_column *to,
                       const struct log_account *account)
{
    take_run(view, to, 0, -1, account);
}

/* Row i begins a run of n rows (none if it is not good). */
static void begin_run(const struct screen_view *view, struct screen_column *to, size_t i, size_t n)
{
    to->run = (struct screen_run){.value = view->value[i],
                                  .n = isnan(view->value[i]) ? 0 : n,
                                  .first_us = view->time_us[i],
                                  .place = view->place[i],
                                  .step_si = to->step_si};
}

/* Whether n values are all `value`. */
static inline bool all_are(const double *at, size_t n, double value)
{
    int64_t other = 0;
    for (size_t i = 0; i < n; i++)
        other |= at[i] != value;
    return other == 0;
}

static size_t run_end(const struct screen_view *view, size_t i, double value)
{
    while (i + STEP_ROWS <= view->n && all_are(view->value + i, STEP_ROWS, value))
        i += STEP_ROWS;
    while (i < view->n && view->value[i] == value)
        i++;
    return i;
}

/* Whether a run long enough may lie inside the rows: it would hold two rows a stride apart, and
 * what lies between them. Four of these are looked at first, without branches: readings of a coarse
 * instrument are the same too often for a guess, and too seldom. */
static bool any_run(const struct screen_view *view, size_t stride)
{
    const double *value = view->value;
    for (size_t i = stride; i < view->n; i += stride)
        if (((value[i] == value[i - stride]) & (value[i] == value[i - 1]) &
             (value[i] == value[i - stride / 2])) != 0 &&
            all_are(value + i - stride, stride, value[i]))
            return true;
    return false;
}

/* Where the last run of the rows begins, at `from` at the earliest. */
static size_t last_run(const struct screen_view *view, size_t from)
{
    size_t first = view->n - 1;
    while (first > from && view->value[first - 1] == view->value[view->n - 1])
        first--;
    return first;
}

void screen_judge_runs(struct screen_view *view, struct screen_column *to,
                       const struct log_account *account)
{
    size_t at = run_end(view, 0, to->run.value);
    size_t steps_to = 0;
    to->run.n += at;
    if (at > 0 || (view_has(view, -1) && !isnan(view_value(view, -1))))
        take_run(view, to, 0, (ptrdiff_t)at - 1, account);
    bool slow = any_run(view, to->stride);
    if (!slow && at < view->n)
        at = last_run(view, at);
    while (at < view->n) {
        size_t end = isnan(view->value[at]) ? at + 1 : run_end(view, at, view->value[at]);
        if (end == view->n || end - at >= to->rows_least) {
            take_steps(view, to, steps_to, at + 1);
            steps_to = at + 1;
        }
        begin_run(view, to, at, end - at);
        take_run(view, to, (ptrdiff_t)at, (ptrdiff_t)end - 1, account);
        at = end;
    }
    take_steps(view, to, steps_to, view->n);
    to->phase = (unsigned)((to->phase + view->n) % STEP_ROWS);
}
