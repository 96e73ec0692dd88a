#include "draft/clock.h"

#include "draft/clock_apart.h"
#include "draft/clock_beside.h"
#include "draft/clock_form.h"
#include "draft/clock_look.h"
#include "draft/clock_parts.h"
#include "draft/clock_yearless.h"

#include <stdlib.h>
#include <string.h>

static bool find_columns(const struct sample *sample, struct clock *clock)
{
    size_t none = sample->head.n;
    clock->n_columns = 1;
    clock->column[0] = clock_look_find(sample, CELL_STAMP);
    if (clock->column[0] != none)
        return true;
    clock->n_columns = 2;
    clock->column[0] = clock_look_find(sample, CELL_DATE);
    clock->column[1] = clock_look_find(sample, CELL_HOUR);
    if (clock->column[1] == none)
        clock->column[1] = clock_look_share(sample);
    return clock->column[0] != none && clock->column[1] != none;
}

/* A column whose cells look like no stamp that is known at sight, but may be one. */
static bool may_be_time(const struct sample *sample, size_t column)
{
    return (column == 0 || head_rows_time_word(sample->head.name[column])) &&
           sample_name_trouble(sample, column, true) == NULL;
}

static bool is_text(const struct sample *sample, size_t column)
{
    double value;
    for (size_t row = 0; row < sample->n_rows; row++)
        if (sample_number(sample, row, column, &value))
            return false;
    return true;
}

/* Tries the forms on columns one by one, and on each with the hours beside it; a number is no day
 * there. */
static bool try_columns(const struct sample *sample, struct clock *clock, struct faults *faults)
{
    size_t hour = clock_look_find(sample, CELL_HOUR);
    size_t most = hour < sample->head.n ? 2 : 1;
    for (size_t i = 0; i < sample->head.n && !clock->found; i++) {
        if (!may_be_time(sample, i))
            continue;
        clock->column[0] = i;
        clock->column[1] = hour;
        for (size_t n = 1; n <= most && !clock->found; n++) {
            clock->n_columns = n;
            clock->n_stamps = clock->n_read = 0;
            if ((n == 1 || (i != hour && is_text(sample, i))) &&
                !clock_form_find(sample, clock, faults))
                return false;
        }
    }
    return true;
}

static void find_ends(const struct sample *sample, struct clock *clock)
{
    bool first = true;
    for (size_t row = 0; row < sample->n_rows; row++) {
        if (clock->time_us[row] == CLOCK_NONE)
            continue;
        if (first)
            clock->first_us = clock->time_us[row];
        first = false;
        clock->last_us = clock->time_us[row];
    }
}

void clock_free(struct clock *clock)
{
    free(clock->time_us);
    memset(clock, 0, sizeof *clock);
}

/* Forgets what a way that did not lead there left behind. */
static void start_again(const struct sample *sample, struct clock *clock)
{
    int64_t *time_us = clock->time_us;
    memset(clock, 0, sizeof *clock);
    clock->time_us = time_us;
    for (size_t row = 0; row < sample->n_rows; row++)
        time_us[row] = CLOCK_NONE;
}

bool clock_find(const struct sample *sample, struct clock *clock, struct faults *faults)
{
    memset(clock, 0, sizeof *clock);
    clock->time_us = malloc((sample->n_rows + 1) * sizeof *clock->time_us);
    if (clock->time_us == NULL)
        return fault_memory(faults);
    start_again(sample, clock);
    if (!clock_apart_find(sample, clock, faults))
        return false;
    if (!clock->found)
        start_again(sample, clock);
    if (!clock->found && find_columns(sample, clock) && !clock_form_find(sample, clock, faults))
        return false;
    if (!clock->found && !try_columns(sample, clock, faults))
        return false;
    if (!clock->found) {
        start_again(sample, clock);
        if (!clock_parts_find(sample, clock, faults))
            return false;
    }
    if (!clock->found) {
        start_again(sample, clock);
        if (!clock_count_find(sample, clock, faults))
            return false;
        if (!clock_run_look(sample, clock->time_us, &clock->run))
            return fault_memory(faults);
    }
    if (!clock->found && !clock_yearless_find(sample, clock, faults))
        return false;
    if (!clock_take_beside(sample, clock, faults))
        return false;
    find_ends(sample, clock);
    return true;
}
