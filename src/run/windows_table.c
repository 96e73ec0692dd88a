#include "base/calendar.h"
#include "run/reduction_document.h"
#include "sky/vector.h"

#include <math.h>
#include <stdio.h>

enum { COLUMNS_MAX = 64, ID_SIZE = 64 };

static const enum channel shown[] = {CH_IRRADIANCE, CH_AMBIENT, CH_INLET, CH_OUTLET,
                                     CH_FLOW,       CH_WIND,    CH_HEAT};
enum { SHOWN = sizeof shown / sizeof shown[0] };

static const struct column sun_columns[] = {
    {.id = "sun height [deg]", .label = "sun height", .unit = "deg", .kind = CELL_NUMBER,
     .digits = 1},
    {.id = "sun azimuth [deg]", .label = "sun azimuth", .unit = "deg", .kind = CELL_NUMBER,
     .digits = 1},
    {.id = "incidence [deg]", .label = "incidence", .unit = "deg", .kind = CELL_NUMBER,
     .digits = 2},
    {.id = "diffuse share", .label = "diffuse share", .unit = "", .kind = CELL_NUMBER,
     .digits = 3},
    {.id = "u diffuse share", .label = "u", .unit = "", .kind = CELL_NUMBER, .digits = 3},
    {.id = "diffuse known", .label = "known", .unit = "", .kind = CELL_TEXT},
};
enum { SUN_COLUMNS = sizeof sun_columns / sizeof sun_columns[0] };

static void sun_cells(const struct means *means, struct cell cells[SUN_COLUMNS])
{
    static const char *const known[] = {"", "measured", "estimated"};
    const struct means_sun *sun = &means->sun;
    const struct vector at = {sun->at[0], sun->at[1], sun->at[2]};
    double deg = 180 / M_PI;
    bool share = sun->share != SHARE_UNKNOWN;
    cells[0] = cell_number(sun->known ? vector_height_rad(at) * deg : NAN);
    cells[1] = cell_number(sun->known ? vector_azimuth_rad(at) * deg : NAN);
    cells[2] = cell_number(means->has[CH_INCIDENCE] ? means->mean[CH_INCIDENCE] * deg : NAN);
    cells[3] = cell_number(share ? sun->diffuse_share : NAN);
    cells[4] = cell_number(sun->share == SHARE_ESTIMATED ? sun->u_diffuse_share : NAN);
    cells[5] = cell_text(known[sun->share]);
}

/* Heads of windows.csv: the window, its means, and a verdict with its margin for each limit. */
static size_t window_columns(struct column *columns, char (*ids)[ID_SIZE])
{
    size_t n = 0;
    columns[n++] =
        (struct column){.id = "window", .label = "window", .unit = "", .kind = CELL_TEXT};
    columns[n++] = (struct column){.id = "end", .label = "end", .unit = "", .kind = CELL_TEXT};
    columns[n++] =
        (struct column){.id = "readings", .label = "readings", .unit = "", .kind = CELL_NUMBER};
    columns[n++] =
        (struct column){.id = "set aside", .label = "set aside", .unit = "", .kind = CELL_NUMBER};
    for (size_t i = 0; i < SHOWN; i++, n++) {
        const struct channel_row *row = channel_row(shown[i]);
        snprintf(ids[n], ID_SIZE, "%s [%s]", row->word, dimension_si(row->dimension));
        columns[n] = (struct column){.id = ids[n],
                                     .label = (char *)row->symbol,
                                     .unit = (char *)dimension_si(row->dimension),
                                     .kind = CELL_NUMBER,
                                     .digits = row->decimals};
    }
    for (size_t i = 0; i < SUN_COLUMNS; i++)
        columns[n++] = sun_columns[i];
    for (int id = 0; id < RULE_LIMITS; id++) {
        const struct rule_row *row = rule_row((enum rule_id)id);
        /* 'wind' is a mean already: no head may stand twice. */
        const char *tail = text_same(row->key, channel_row(row->channel)->word) ? " limit" : "";
        snprintf(ids[n], ID_SIZE, "%s%s", row->key, tail);
        columns[n] = (struct column){
            .id = ids[n], .label = (char *)row->key, .unit = "", .kind = CELL_TEXT};
        n++;
        snprintf(ids[n], ID_SIZE, "%s%s [%s]", row->key, tail, row->unit);
        columns[n] = (struct column){.id = ids[n],
                                     .label = (char *)row->key,
                                     .unit = (char *)row->unit,
                                     .kind = CELL_NUMBER,
                                     .digits = row->decimals + 1};
        n++;
    }
    return n;
}

static bool window_row(const struct means *means, const struct verdicts *verdicts,
                       struct table *table, struct faults *faults)
{
    struct cell cells[COLUMNS_MAX];
    char end[40];
    size_t n = 0;
    cells[n++] = cell_text(means->name);
    cells[n++] = cell_text(calendar_iso(means->end_us, 0, end, sizeof end));
    cells[n++] = cell_number((double)means->readings);
    cells[n++] = cell_number((double)means->set_aside);
    for (size_t i = 0; i < SHOWN; i++)
        cells[n++] = cell_number(means->has[shown[i]] ? means->mean[shown[i]] : NAN);
    sun_cells(means, cells + n);
    n += SUN_COLUMNS;
    for (int id = 0; id < RULE_LIMITS; id++) {
        cells[n++] = cell_text(verdict_word((enum verdict_state)verdicts->state[id]));
        cells[n++] = cell_number(verdicts->statistic[id] / rule_row((enum rule_id)id)->unit_si);
    }
    return table_row(table, cells, faults);
}

bool reduction_windows_table(const struct reduction *r, struct document *doc, struct faults *faults)
{
    struct column columns[COLUMNS_MAX];
    char ids[COLUMNS_MAX][ID_SIZE];
    size_t n = window_columns(columns, ids);
    struct table *table = document_table(
        doc, "windows", "Windows with their verdicts",
        "Named by their start in UTC. The sun is that of the window's middle, as refracted. For "
        "each limit: met, not measured or not verified (an estimate), and the figure found.",
        columns, n, faults);
    if (table == NULL)
        return false;
    table->file = true;
    for (size_t i = 0; i < r->finder.n_windows; i++)
        if (!window_row(&r->means.items[i], &r->finder.verdict[i], table, faults))
            return false;
    return true;
}
