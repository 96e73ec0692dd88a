#include "draft/zone_doubt.h"

#include "draft/clock_zone.h"

#include <string.h>

/* What is to be done with it. */
static void doubt(struct draft_log *log, size_t column, const struct zone_cells *cells)
{
    const char *name = log->sample.head.name[column];
    const char *change = cells->change < log->sample.n_rows
                             ? "; it changes between the rows, and one zone for all would place "
                               "some wrongly by the difference"
                             : "; or, where it is the same in all rows, state it in 'time'";
    if (cells->odd == NULL && cells->n < log->sample.n_rows)
        draft_log_doubt(
            log,
            "Column '%.40s' holds the zone of the stamps, in %zu of %zu rows only: fill "
            "it into every row, and draft again%s.",
            name, cells->n, log->sample.n_rows, change);
    else if (cells->odd == NULL)
        draft_log_doubt(log,
                        "Column '%.40s' seems to hold the zone of the stamps, '%.20s', which a "
                        "clock that counts cannot carry%s.",
                        name, cells->first, change);
    else if (strchr(cells->odd, '/') != NULL)
        draft_log_doubt(log,
                        "Column '%.40s' seems to hold the zone of the stamps, '%.40s': state that "
                        "name in 'time', instead of UTC+?, if it is the same in all rows.",
                        name, cells->odd);
    else
        draft_log_doubt(log,
                        "Column '%.40s' seems to hold the zone of the stamps, and '%.20s' is none "
                        "that is known, or means several: write it as +02:00, hours and minutes "
                        "east of UTC, and draft again%s.",
                        name, cells->odd, change);
}

void zone_doubt(struct draft_log *log)
{
    const struct sample *sample = &log->sample;
    if (!log->clock.found || log->clock.in_stamp || log->clock.counts == CLOCK_COUNT_UTC)
        return;
    for (size_t i = 0; i < sample->head.n; i++) {
        if (clock_uses(&log->clock, i))
            continue;
        struct zone_cells cells = clock_zone_look(sample, i);
        bool zones = cells.n > 0 && cells.zones == cells.n && cells.numbers == 0;
        if (zones || (cells.n > 0 && clock_zone_named(sample->head.name[i]))) {
            doubt(log, i, &cells);
            return;
        }
    }
}
