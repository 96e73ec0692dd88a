#include "draft/clock.h"

#include "base/calendar.h"

#include <stdlib.h>
#include <string.h>

enum { GAP = 3 };

static int by_size(const void *a, const void *b)
{
    int64_t x = *(const int64_t *)a;
    int64_t y = *(const int64_t *)b;
    return (x > y) - (x < y);
}

/* Calls for each step between rows of one run that were both read. */
typedef void step_take(void *state, size_t row, int64_t step_us);

static void each_step(const struct sample *sample, const int64_t *time_us, step_take *take,
                      void *state)
{
    size_t before = SIZE_MAX;
    for (size_t row = 0; row < sample->n_rows; row++) {
        if (time_us[row] == CLOCK_NONE)
            continue;
        if (before != SIZE_MAX && sample->row[row].run == sample->row[before].run)
            take(state, row, time_us[row] - time_us[before]);
        before = row;
    }
}

struct forward_steps {
    int64_t *us;
    size_t n;
};

static void take_forward(void *state, size_t row, int64_t step_us)
{
    struct forward_steps *steps = state;
    (void)row;
    if (step_us > 0)
        steps->us[steps->n++] = step_us;
}

struct run_look {
    struct clock_run *run;
    const int64_t *time_us;
    int64_t longest_us;
};

/* The row after a clock is put back is an hour and a step earlier than it would be. */
static bool is_fall(int64_t step_us, int64_t usual_us)
{
    int64_t off_us = step_us + S_PER_H * US_PER_S - usual_us;
    return step_us < 0 && llabs(off_us) <= (usual_us < 60 * US_PER_S ? 60 * US_PER_S : usual_us);
}

static void take_any(void *state, size_t row, int64_t step_us)
{
    struct run_look *look = state;
    struct clock_run *run = look->run;
    run->n_leaps += llabs(step_us) >= S_PER_DAY * US_PER_S;
    if (is_fall(step_us, run->step_us)) {
        if (run->n_falls++ == 0) {
            run->fall_row = row;
            run->fall_us = look->time_us[row] - step_us;
        }
    } else if (step_us <= 0) {
        if (step_us == 0 && run->rows_per_stamp > 1)
            run->n_even++;
        else if (run->n_back++ == 0)
            run->back_row = row;
    } else if (step_us > GAP * run->step_us) {
        run->n_gaps++;
        if (step_us > look->longest_us) {
            look->longest_us = step_us;
            run->gap_row = row - 1;
        }
    } else if (llabs(step_us - run->step_us) * 10 <= run->step_us) {
        run->n_even++;
    }
}

/* How often stamps stand in a row: the first and the last of a stretch may be cut off. */
struct shares {
    size_t now;     /* rows with the current stamp; 0: its beginning was not seen */
    size_t usual;   /* of the first whole group */
    size_t n;       /* whole groups */
    size_t n_usual; /* of these, as many rows as usual */
};

static void take_share(void *state, size_t row, int64_t step_us)
{
    struct shares *shares = state;
    (void)row;
    if (step_us == 0) {
        shares->now += shares->now > 0;
        return;
    }
    if (shares->now > 0) {
        shares->usual = shares->n == 0 ? shares->now : shares->usual;
        shares->n++;
        shares->n_usual += shares->now == shares->usual;
    }
    shares->now = 1;
}

/* At least three whole groups, nine in ten of them of the same size. */
static size_t rows_per_stamp(const struct sample *sample, const int64_t *time_us)
{
    struct shares shares = {0, 0, 0, 0};
    each_step(sample, time_us, take_share, &shares);
    return shares.n >= 3 && 10 * shares.n_usual >= 9 * shares.n ? shares.usual : 1;
}

bool clock_run_look(const struct sample *sample, const int64_t *time_us, struct clock_run *run)
{
    struct forward_steps steps = {malloc((sample->n_rows + 1) * sizeof *steps.us), 0};
    struct run_look look = {run, time_us, 0};
    memset(run, 0, sizeof *run);
    if (steps.us == NULL)
        return false;
    run->rows_per_stamp = rows_per_stamp(sample, time_us);
    each_step(sample, time_us, take_forward, &steps);
    if (steps.n > 0) {
        qsort(steps.us, steps.n, sizeof *steps.us, by_size);
        run->step_us = steps.us[steps.n / 2];
        run->least_us = steps.us[0];
        run->most_us = steps.us[steps.n - 1];
        run->n_steps = steps.n;
    }
    free(steps.us);
    each_step(sample, time_us, take_any, &look);
    return true;
}
