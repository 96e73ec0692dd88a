#include "window/clear_days.h"

#include "base/calendar.h"
#include "ingest/span.h"

#include <math.h>
#include <string.h>

#define DAY_US (S_PER_DAY * US_PER_S)

void clear_days_init(struct clear_days *days, double longitude_rad)
{
    memset(days, 0, sizeof *days);
    days->shift_us = llround(longitude_rad / (2 * M_PI) * (double)DAY_US);
}

static void open_day(struct clear_days *days, int64_t day)
{
    memset(days->count, 0, sizeof days->count);
    memset(days->sum, 0, sizeof days->sum);
    days->day = day;
    days->open = true;
}

/* A day pushes out the poorest that is kept, once there are enough. */
static void keep(struct clear_days *days, const struct clock_day *day)
{
    size_t poorest = 0;
    if (day->n_clear == 0)
        return;
    if (days->n_kept < CLOCK_DAYS) {
        days->kept[days->n_kept++] = *day;
        return;
    }
    for (size_t i = 1; i < days->n_kept; i++)
        if (days->kept[i].n_clear < days->kept[poorest].n_clear)
            poorest = i;
    if (days->kept[poorest].n_clear < day->n_clear)
        days->kept[poorest] = *day;
}

static void close_day(struct clear_days *days)
{
    struct clock_day day;
    float swing[CLOCK_BINS];
    if (!days->open)
        return;
    day.start_us = days->day * DAY_US - days->shift_us;
    for (size_t i = 0; i < CLOCK_BINS; i++) {
        bool any = days->count[i] > 0;
        day.mean[i] = any ? (float)(days->sum[i] / days->count[i]) : NAN;
        swing[i] = any ? (float)(days->most[i] - days->least[i]) : NAN;
    }
    clock_mark_clear(&day, swing);
    keep(days, &day);
    days->open = false;
}

/* Rows first to end - 1 lie in one bin. */
static void add_rows(struct clear_days *days, const struct block *block, size_t bin, size_t first,
                     size_t end)
{
    const double *value = block->value[CH_IRRADIANCE];
    const uint8_t *flag = block->flag[CH_IRRADIANCE];
    for (size_t i = first; i < end; i++) {
        if (flag[i] != FLAG_GOOD)
            continue;
        if (days->count[bin]++ == 0)
            days->least[bin] = days->most[bin] = value[i];
        days->sum[bin] += value[i];
        days->least[bin] = value[i] < days->least[bin] ? value[i] : days->least[bin];
        days->most[bin] = value[i] > days->most[bin] ? value[i] : days->most[bin];
    }
}

static bool take(void *state, const struct block *block, struct faults *faults)
{
    struct clear_days *days = state;
    (void)faults;
    if (!block->present[CH_IRRADIANCE])
        return true;
    for (size_t i = 0, end; i < block->n; i = end) {
        int64_t solar_us = block->time_us[i] + days->shift_us;
        int64_t day = solar_us / DAY_US - (solar_us % DAY_US < 0);
        if (!days->open || day != days->day) {
            close_day(days);
            open_day(days, day);
        }
        size_t bin = (size_t)((solar_us - day * DAY_US) / CLOCK_BIN_US);
        int64_t bin_end_us = day * DAY_US + ((int64_t)bin + 1) * CLOCK_BIN_US - days->shift_us;
        end = span_end(block, i + 1, bin_end_us);
        add_rows(days, block, bin, i, end);
    }
    return true;
}

static bool finish(void *state, struct faults *faults)
{
    (void)faults;
    close_day(state);
    return true;
}

struct sink clear_days_sink(struct clear_days *days)
{
    return (struct sink){days, take, finish};
}
