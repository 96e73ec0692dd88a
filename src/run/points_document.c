#include "base/calendar.h"
#include "run/reduction_document.h"

#include <math.h>
#include <stdio.h>

enum { COLUMNS_MAX = 40, TEXT_SIZE = 64 };

static bool any_has(const struct means_list *list, enum channel channel)
{
    for (size_t i = 0; i < list->n; i++)
        if (list->items[i].has[channel])
            return true;
    return false;
}

static bool any_drift_noise(const struct means_list *list)
{
    for (size_t i = 0; i < list->n; i++)
        if (list->items[i].u_drift_K_s > 0)
            return true;
    return false;
}

static bool any_reduced(const struct means_list *list)
{
    return list->n > 0 && list->items[0].reduced;
}

/* Whether a column would say anything; efficiency and T* stand here only where they were typed. */
static bool wanted(const struct reduction *r, const struct points_column *column)
{
    switch (column->field) {
    case POINTS_MEAN:
    case POINTS_U:
        return any_has(&r->means, column->channel);
    case POINTS_U_DRIFT:
        return any_drift_noise(&r->means);
    case POINTS_ETA:
    case POINTS_X:
    case POINTS_U_ETA:
    case POINTS_U_X:
        return any_reduced(&r->means);
    default:
        return true;
    }
}

static bool is_text(const struct points_column *column)
{
    return column->field == POINTS_NAME || column->field == POINTS_GROUP ||
           column->field == POINTS_START || column->field == POINTS_END;
}

static double number_of(const struct means *means, const struct points_column *column)
{
    switch (column->field) {
    case POINTS_SESSION:
        return (double)means->session;
    case POINTS_READINGS:
        return (double)means->readings;
    case POINTS_MEAN:
        return means->has[column->channel] ? means->mean[column->channel] : NAN;
    case POINTS_U:
        return means->has[column->channel] ? means->u[column->channel] : NAN;
    case POINTS_DRIFT:
        return means->drift_K_s;
    case POINTS_U_DRIFT:
        return means->u_drift_K_s;
    case POINTS_ETA:
        return means->eta;
    case POINTS_X:
        return means->x;
    case POINTS_U_ETA:
        return means->u_eta;
    case POINTS_U_X:
        return means->u_x;
    default:
        return NAN;
    }
}

static const char *text_of(const struct means *means, const struct points_column *column,
                           char *buffer, size_t size)
{
    switch (column->field) {
    case POINTS_NAME:
        return means->name;
    case POINTS_GROUP:
        return means->group;
    default:
        if (!means->timed)
            return "";
        return calendar_iso(column->field == POINTS_START ? means->start_us : means->end_us, 0,
                            buffer, size);
    }
}

static bool add_rows(const struct means_list *list, const struct points_column *const *chosen,
                     size_t n, struct table *table, struct faults *faults)
{
    for (size_t i = 0; i < list->n; i++) {
        struct cell cells[COLUMNS_MAX];
        char texts[COLUMNS_MAX][TEXT_SIZE];
        for (size_t k = 0; k < n; k++) {
            const struct means *means = &list->items[i];
            cells[k] = is_text(chosen[k])
                           ? cell_text(text_of(means, chosen[k], texts[k], TEXT_SIZE))
                           : cell_number(number_of(means, chosen[k]));
        }
        if (!table_row(table, cells, faults))
            return false;
    }
    return true;
}

bool reduction_points(const struct reduction *r, struct document *doc, struct faults *faults)
{
    size_t n_all, n = 0;
    const struct points_column *all = points_columns(&n_all);
    const struct points_column *chosen[COLUMNS_MAX];
    struct column columns[COLUMNS_MAX];
    char heads[COLUMNS_MAX][TEXT_SIZE];
    for (size_t i = 0; i < n_all && n < COLUMNS_MAX; i++) {
        if (!wanted(r, &all[i]))
            continue;
        points_head(&all[i], heads[n], TEXT_SIZE);
        columns[n] = (struct column){.id = heads[n],
                                     .label = (char *)all[i].label,
                                     .unit = "",
                                     .kind = is_text(&all[i]) ? CELL_TEXT : CELL_NUMBER,
                                     .digits = all[i].digits};
        chosen[n++] = &all[i];
    }
    struct table *table = document_table(
        doc, "points", "Points (means)",
        "The means from which the points are made; points.csv is accepted as input again.", columns,
        n, faults);
    if (table == NULL)
        return false;
    table->file = true;
    return add_rows(&r->means, chosen, n, table, faults);
}

const char *reduction_target(const struct error_target *target, char *out, size_t size)
{
    switch (target->what) {
    case SHIFT_GAIN:
        snprintf(out, size, "%s, relative", channel_row(target->channel)->word);
        break;
    case SHIFT_OFFSET:
        snprintf(out, size, "%s, offset", channel_row(target->channel)->word);
        break;
    case SHIFT_AREA:
        snprintf(out, size, "area, relative");
        break;
    case SHIFT_CP:
        snprintf(out, size, "specific heat, relative");
        break;
    case SHIFT_FRACTION:
        snprintf(out, size, "fraction of glycol");
        break;
    case SHIFT_CAPACITY:
        snprintf(out, size, "heat capacity");
        break;
    case SHIFT_DRIFT:
        snprintf(out, size, "drift");
        break;
    case SHIFT_MOUNTING:
        snprintf(out, size, "%s, share of t - t_a", channel_row(target->channel)->word);
        break;
    case SHIFT_PIPE:
        snprintf(out, size, "%s, heat loss of pipe", channel_row(target->channel)->word);
        break;
    case SHIFT_LOSS:
        snprintf(out, size, "heat loss");
        break;
    case SHIFT_LOSS_SLOPE:
        snprintf(out, size, "heat loss per degree");
        break;
    case SHIFT_TILT:
        snprintf(out, size, "tilt");
        break;
    case SHIFT_AZIMUTH:
        snprintf(out, size, "azimuth");
        break;
    case SHIFT_CLOCK:
        snprintf(out, size, "clock");
        break;
    case SHIFT_DIRECTION:
        snprintf(out, size, "irradiance, beam from the side");
        break;
    case SHIFT_DIFFUSE_SHARE:
        snprintf(out, size, "diffuse share, of its own uncertainty");
        break;
    default:
        snprintf(out, size, "density, relative");
    }
    return out;
}

const char *reduction_target_unit(const struct error_target *target)
{
    if (target->what == SHIFT_CAPACITY)
        return dimension_si(DIM_HEAT_CAPACITY);
    if (target->what == SHIFT_PIPE)
        return "W/K";
    if (target->what == SHIFT_LOSS || target->what == SHIFT_DIRECTION)
        return dimension_si(DIM_IRRADIANCE);
    if (target->what == SHIFT_LOSS_SLOPE)
        return dimension_si(DIM_HEAT_LOSS);
    if (target->what == SHIFT_TILT || target->what == SHIFT_AZIMUTH)
        return dimension_si(DIM_ANGLE);
    if (target->what == SHIFT_CLOCK)
        return "s";
    if (target->what == SHIFT_DRIFT)
        return dimension_si(DIM_RAMP);
    if (target->what != SHIFT_OFFSET)
        return "1";
    enum dimension dimension = channel_row(target->channel)->dimension;
    return dimension == DIM_TEMPERATURE ? "K" : dimension_si(dimension);
}

bool reduction_errors(const struct reduction *r, struct document *doc, struct faults *faults)
{
    struct column columns[] = {
        {.id = "source", .label = "source", .unit = "", .kind = CELL_TEXT},
        {.id = "what", .label = "what", .unit = "", .kind = CELL_TEXT},
        {.id = "kind", .label = "kind", .unit = "", .kind = CELL_TEXT},
        {.id = "moves", .label = "moves", .unit = "", .kind = CELL_TEXT},
        {.id = "u", .label = "standard u", .unit = "", .kind = CELL_NUMBER, .digits = 5},
        {.id = "unit", .label = "unit", .unit = "", .kind = CELL_TEXT},
        {.id = "origin", .label = "origin", .unit = "", .kind = CELL_TEXT},
        {.id = "instrument", .label = "id", .unit = "", .kind = CELL_TEXT},
    };
    struct table *table = document_table(
        doc, "errors", "Error sources",
        "calibration: one unknown value for the whole test; session: one a day; reading: one a "
        "window",
        columns, sizeof columns / sizeof columns[0], faults);
    if (table == NULL)
        return false;
    table->file = table->report = true;
    table->place = TABLE_INSTRUMENTS;
    for (size_t i = 0; i < r->setup.errors.n; i++) {
        const struct error_source *row = &r->setup.errors.rows[i];
        char moves[TEXT_SIZE];
        struct cell cells[] = {cell_text(row->id),
                               cell_text(row->label),
                               cell_text(error_kind_word(row->kind)),
                               cell_text(reduction_target(&row->targets[0], moves, sizeof moves)),
                               cell_number(row->u),
                               cell_text(reduction_target_unit(&row->targets[0])),
                               cell_text(row->origin),
                               cell_text(row->instrument_id)};
        if (!table_row(table, cells, faults))
            return false;
    }
    return true;
}
