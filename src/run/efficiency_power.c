/* The figure of the collector's power against the temperature difference, at several irradiances.
 */
#include "run/efficiency_view.h"

#include "run/words.h"

#include <math.h>
#include <stdio.h>

enum { POWER_COLUMNS = 6, POWER_STEPS = 50, POWER_SERIES = 3 };

/* Of the irradiance at which the curve is drawn: full sun, haze, a bright cloudy sky. */
static const double shares[POWER_SERIES] = {1.0, 0.7, 0.4};

static bool draw(const struct efficiency_view *view, int series, struct table *table,
                 struct faults *faults)
{
    double from, to, g = shares[series] * view->run->draw_at_W_m2;
    view_range(view, &from, &to);
    for (int i = 0; i <= POWER_STEPS; i++) {
        struct view_bands bands;
        double x = from + (to - from) * i / POWER_STEPS;
        double power = view->setup->area_m2 * g;
        view_bands_at(view, x, g, &bands);
        double y = power * bands.curve.value, half = power * bands.curve.half_95;
        struct cell cells[POWER_COLUMNS] = {cell_text("power"), cell_number(series + 1),
                                            cell_number(x * g), cell_number(y),
                                            cell_number(y - half), cell_number(y + half)};
        if (!table_row(table, cells, faults))
            return false;
    }
    return true;
}

static bool name_series(const struct efficiency_view *view, struct figure *figure,
                        struct faults *faults)
{
    for (int k = 0; k < POWER_SERIES; k++) {
        char name[24], text[32];
        snprintf(name, sizeof name, "name_%d", k + 1);
        snprintf(text, sizeof text, "%.0f W/m²", shares[k] * view->run->draw_at_W_m2);
        if (!figure_set_text(figure, name, text, faults))
            return false;
    }
    return figure_set_number(figure, "series", POWER_SERIES, faults);
}

/* The warmest tens of kelvin that the drawn irradiance reaches. */
static void say_finding(const struct efficiency_view *view, char *title, size_t size)
{
    double from, to, g = view->run->draw_at_W_m2;
    char words[WORDS_SIZE];
    struct view_bands bands;
    view_range(view, &from, &to);
    double K = fmax(from * g, 10 * floor(to * g / 10));
    double power = view->setup->area_m2 * g;
    view_bands_at(view, K / g, g, &bands);
    words_pm(power * bands.curve.value, power * bands.curve.half_95, "W", words, sizeof words);
    snprintf(title, size, "%.0f K above the air it still gives %s at %.0f W/m²", K, words, g);
}

bool view_power_figure(const struct efficiency_view *view, struct document *doc,
                       struct faults *faults)
{
    static const char *const ids[POWER_COLUMNS] = {"part", "series", "difference [K]",
                                                   "power [W]", "low [W]", "high [W]"};
    struct column columns[POWER_COLUMNS];
    char id[96], title[200], alt[400];
    if (view->e->form->n_coef == 1)
        return true;
    for (int k = 0; k < POWER_COLUMNS; k++)
        columns[k] = (struct column){.id = (char *)ids[k],
                                     .label = (char *)ids[k],
                                     .unit = "",
                                     .kind = k == 0 ? CELL_TEXT : CELL_NUMBER,
                                     .digits = 1};
    snprintf(id, sizeof id, "%s_by_difference", view->id);
    struct table *table = document_table(doc, id, "Drawn values", "", columns, POWER_COLUMNS,
                                         faults);
    if (table == NULL)
        return false;
    table->place = TABLE_RESULT;
    for (int k = 0; k < POWER_SERIES; k++)
        if (!draw(view, k, table, faults))
            return false;
    say_finding(view, title, sizeof title);
    snprintf(alt, sizeof alt,
             "Power of the whole collector against the temperature difference between fluid and "
             "air at three irradiances, within the tested range, with 95 %% bands. %s.",
             title);
    struct figure *figure = document_figure(doc, id, "power", title, alt, id, faults);
    return figure != NULL && name_series(view, figure, faults);
}
