#include "draft/files_doubt.h"

#include "draft/totals.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define TIMES_MOST 3.0
#define DEGREES_MOST 25.0

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a;
    double y = *(const double *)b;
    return (x > y) - (x < y);
}

/* What a log mostly reads: of the sunshine its high numbers, of the others the median of the sunny
 * rows, so that nights do not count.
 * In:      room   for as many numbers as the sample has rows */
static double usual(const struct draft_log *log, enum channel channel, size_t file, double *room)
{
    size_t n = 0;
    for (size_t row = 0; row < log->sample.n_rows; row++) {
        double value = draft_log_number(log, channel, row);
        bool sunny = channel == CH_IRRADIANCE || draft_log_sunny(log, row);
        if (log->sample.row[row].log == file && !isnan(value) && sunny)
            room[n++] = value;
    }
    qsort(room, n, sizeof *room, by_size);
    return n == 0 ? NAN : channel == CH_IRRADIANCE ? room[9 * n / 10] : room[n / 2];
}

static bool differs(enum channel channel, double a, double b)
{
    if (channel == CH_AMBIENT)
        return fabs(a - b) > DEGREES_MOST;
    return a > 0.0 && b > 0.0 && (a > TIMES_MOST * b || b > TIMES_MOST * a);
}

static void compare(struct draft_log *log, enum channel channel, double *room)
{
    const struct draft_column *column = draft_log_column(log, channel);
    if (column == NULL || guess_is_total(&column->guess) || column->guess.pulses != NULL)
        return;
    double first = usual(log, channel, 0, room);
    for (size_t file = 1; file < log->n_logs; file++) {
        double now = usual(log, channel, file, room);
        if (!differs(channel, first, now))
            continue;
        draft_log_doubt(log,
                        "'%.60s' reads about %.4g in '%.60s' and %.4g in '%.60s': did its unit "
                        "change? A description has one unit a column: bring the logs to one.",
                        log->sample.head.name[column - log->columns], first, log->logs[0], now,
                        log->logs[file]);
        return;
    }
}

bool files_doubt(struct draft_log *log)
{
    if (log->n_logs < 2)
        return true;
    double *room = malloc((log->sample.n_rows + 1) * sizeof *room);
    if (room == NULL)
        return false;
    compare(log, CH_IRRADIANCE, room);
    compare(log, CH_AMBIENT, room);
    compare(log, CH_FLOW, room);
    free(room);
    return true;
}
