/* The uncertainty budget of an efficiency run: every source's share of every coefficient, and of the
 * curve at one reduced temperature. */
#include "run/efficiency_rank.h"
#include "run/efficiency_view.h"

#include "fit/combine.h"
#include "run/words.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { BARS_MAX = 10, BUDGET_COLUMNS = 6, PANELS = EFFICIENCY_COEFS + 1, NAMED = 3 };
#define SHARE_LEAST 0.01 /* of the variance: smaller bars are drawn as one */

/* What is ranked: a coefficient, or the curve. */
struct ranked {
    const char *word; /* in the CSV: "eta0", "curve" */
    char people[200]; /* "η₀", "η at T* 0.031 m² K/W" */
    const char *unit; /* for people */
    double value, u, half_95;
    struct rank_source *sources; /* largest first */
    size_t n;
};

static double share_of(const struct ranked *ranked, size_t i)
{
    double part = ranked->sources[i].u / ranked->u;
    return part * part;
}

static void rank_coef(const struct efficiency_view *view, size_t j, struct ranked *out)
{
    const char *symbol = view->e->form->symbols[j];
    double t[EFFICIENCY_COEFS] = {0}, dof;
    t[j] = 1;
    out->word = symbol;
    snprintf(out->people, sizeof out->people, "%s", view_coef_people(symbol));
    out->unit = view_unit_people(symbol);
    out->value = view->e->curve.coef[j];
    efficiency_combined(view->e, j, &out->u, &dof);
    out->half_95 = fit_coverage_95(dof) * out->u;
    out->n = rank_sources(view->e, t, out->sources);
    rank_sort(out->sources, out->n);
}

static void rank_curve(const struct efficiency_view *view, struct ranked *out)
{
    double x = view_budget_x(view), t[EFFICIENCY_COEFS];
    char place[WORDS_SIZE];
    struct view_bands bands;
    struct fit_condition at = {.x = x, .g = view->run->draw_at_W_m2, .wind = view->e->draw_wind};
    view->e->form->terms(&at, t);
    view_bands_at(view, x, view->run->draw_at_W_m2, &bands);
    out->word = "curve";
    snprintf(out->people, sizeof out->people, "η at T* %s m² K/W",
             words_fixed(x, 3, place, sizeof place));
    out->unit = "";
    out->value = bands.curve.value;
    out->u = bands.curve.u;
    out->half_95 = bands.curve.half_95;
    out->n = rank_sources(view->e, t, out->sources);
    rank_sort(out->sources, out->n);
}

static bool budget_rows(const struct ranked *ranked, struct table *table, struct faults *faults)
{
    for (size_t i = 0; i < ranked->n; i++) {
        const struct rank_source *source = &ranked->sources[i];
        struct cell cells[] = {cell_text(ranked->word),
                               cell_text(source->id),
                               cell_text(source->label),
                               cell_text(rank_kind_word(source->kind)),
                               cell_number(source->u),
                               cell_number(100 * share_of(ranked, i)),
                               cell_text(source->cure)};
        if (!table_row(table, cells, faults))
            return false;
    }
    return true;
}

/* How many of the ranked bars are drawn on their own: those of at least 1 % of the variance, and room
 * is left for one that holds the others; a single other one may as well be drawn itself. */
static size_t drawn_alone(const struct ranked *ranked)
{
    double sum = 0;
    size_t alone = 0, n = ranked->n;
    const struct rank_source *sources = ranked->sources;
    for (size_t i = 0; i < n; i++)
        sum += sources[i].u * sources[i].u;
    while (alone < n && sources[alone].u * sources[alone].u >= SHARE_LEAST * sum)
        alone++;
    if (alone > BARS_MAX || (alone == BARS_MAX && n > BARS_MAX))
        alone = BARS_MAX - 1;
    return n - alone == 1 ? n : alone;
}

static bool draw_bars(size_t panel, const struct ranked *ranked, struct table *table,
                      struct faults *faults)
{
    double rest = 0;
    size_t alone = drawn_alone(ranked);
    for (size_t i = alone; i < ranked->n; i++)
        rest += ranked->sources[i].u * ranked->sources[i].u;
    for (size_t i = 0; i < alone + (rest > 0); i++) {
        bool last = i == alone;
        struct cell cells[BUDGET_COLUMNS] = {
            cell_text("bar"),
            cell_number((double)panel),
            cell_number((double)i),
            cell_number(last ? RANK_FORM : ranked->sources[i].kind),
            cell_number(last ? sqrt(rest) : fabs(ranked->sources[i].u)),
            cell_text(last ? "all others together" : ranked->sources[i].label)};
        if (!table_row(table, cells, faults))
            return false;
    }
    return true;
}

static struct table *file_table(const struct efficiency_view *view, struct document *doc,
                                struct faults *faults)
{
    struct column columns[] = {
        {.id = "coefficient", .label = "of", .unit = "", .kind = CELL_TEXT},
        {.id = "source", .label = "source", .unit = "", .kind = CELL_TEXT},
        {.id = "what", .label = "what", .unit = "", .kind = CELL_TEXT},
        {.id = "kind", .label = "kind", .unit = "", .kind = CELL_TEXT},
        {.id = "shift", .label = "shift", .unit = "", .kind = CELL_NUMBER, .digits = 5},
        {.id = "share [%]", .label = "share", .unit = "%", .kind = CELL_NUMBER, .digits = 1},
        {.id = "cure", .label = "cheapest cure", .unit = "", .kind = CELL_TEXT},
    };
    char id[96];
    snprintf(id, sizeof id, "%s_sources", view->id);
    struct table *table = document_table(
        doc, id, "Where the uncertainty comes from",
        "Shift of each coefficient when the source moves by one standard uncertainty, found by "
        "fitting again; share of the variance",
        columns, sizeof columns / sizeof columns[0], faults);
    if (table != NULL)
        table->file = true;
    return table;
}

static struct table *drawn_table(const char *id, struct document *doc, struct faults *faults)
{
    static const char *const ids[BUDGET_COLUMNS] = {"part", "panel", "rank", "kind", "u", "label"};
    struct column columns[BUDGET_COLUMNS];
    for (size_t k = 0; k < BUDGET_COLUMNS; k++)
        columns[k] = (struct column){.id = (char *)ids[k],
                                     .label = (char *)ids[k],
                                     .unit = "",
                                     .kind = k == 0 || k == 5 ? CELL_TEXT : CELL_NUMBER,
                                     .digits = 5};
    struct table *table =
        document_table(doc, id, "Drawn values", "", columns, BUDGET_COLUMNS, faults);
    if (table != NULL)
        table->place = TABLE_FIT;
    return table;
}

/* The largest of each, for who reads the report. */
static bool named_rows(const struct ranked *ranked, struct table *table, struct faults *faults)
{
    for (size_t i = 0; i < ranked->n && i < NAMED; i++) {
        const struct rank_source *source = &ranked->sources[i];
        char words[2 * ERROR_LABEL_SIZE + 8];
        if (share_of(ranked, i) < SHARE_LEAST)
            break;
        snprintf(words, sizeof words, "%s%s%s", source->label,
                 source->cure[0] != '\0' ? ": " : "", source->cure);
        struct cell cells[] = {cell_text(i == 0 ? ranked->people : ""),
                               cell_number(100 * share_of(ranked, i)), cell_text(words)};
        if (!table_row(table, cells, faults))
            return false;
    }
    return true;
}

static bool named_table(const struct efficiency_view *view, const struct ranked *ranked, size_t n,
                        struct document *doc, struct faults *faults)
{
    struct column columns[] = {
        {.id = "of", .label = "of", .unit = "", .kind = CELL_TEXT},
        {.id = "share", .label = "share", .unit = "%", .kind = CELL_NUMBER, .digits = 0},
        {.id = "source", .label = "what limits it: the cheapest cure", .unit = "", .kind = CELL_TEXT},
    };
    char id[96], note[200], curve[80] = "";
    snprintf(id, sizeof id, "%s_limits", view->id);
    if (n > view->e->form->n_coef)
        snprintf(curve, sizeof curve, "; of the curve at %.0f W/m²", view->run->draw_at_W_m2);
    snprintf(note, sizeof note, "share of the square of the standard uncertainty%s", curve);
    struct table *table =
        document_table(doc, id, "What limits each number most, and the cheapest cure", note, columns,
                       sizeof columns / sizeof columns[0], faults);
    if (table == NULL)
        return false;
    table->report = true;
    table->place = TABLE_FIT;
    for (size_t k = 0; k < n; k++)
        if (!named_rows(&ranked[k], table, faults))
            return false;
    return true;
}

static bool panel_settings(size_t panel, const struct ranked *ranked, struct figure *figure,
                           struct faults *faults)
{
    char name[32], text[400], value[WORDS_SIZE];
    words_pm(ranked->value, ranked->half_95, ranked->unit, value, sizeof value);
    snprintf(name, sizeof name, "panel_%zu", panel);
    snprintf(text, sizeof text, "%s = %s", ranked->people, value);
    if (!figure_set_text(figure, name, text, faults))
        return false;
    snprintf(name, sizeof name, "axis_%zu", panel);
    snprintf(text, sizeof text, "standard uncertainty of %s%s%s%s", ranked->people,
             ranked->unit[0] == '\0' ? "" : " (", ranked->unit,
             ranked->unit[0] == '\0' ? "" : ")");
    if (!figure_set_text(figure, name, text, faults))
        return false;
    snprintf(name, sizeof name, "total_%zu", panel);
    return figure_set_number(figure, name, ranked->u, faults);
}

static bool budget_figure(const struct efficiency_view *view, const char *id,
                          const struct ranked *ranked, size_t n, struct document *doc,
                          struct faults *faults)
{
    char title[200], alt[300];
    const char *largest = ranked[0].sources[0].label;
    snprintf(title, sizeof title, "What limits %s most: %s",
             view_coef_people(view->e->form->symbols[0]), largest);
    snprintf(alt, sizeof alt,
             "Bars of what each source of error gives to each coefficient%s, ranked; the largest "
             "for the first coefficient is %s.",
             n > view->e->form->n_coef ? " and to the curve" : "", largest);
    struct figure *figure = document_figure(doc, id, "budget", title, alt, id, faults);
    bool good = figure != NULL && figure_set_number(figure, "panels", (double)n, faults);
    for (size_t k = 0; k < n && good; k++)
        good = panel_settings(k, &ranked[k], figure, faults);
    return good;
}

static bool tell(const struct efficiency_view *view, const struct ranked *ranked, size_t n,
                 struct document *doc, struct faults *faults)
{
    char id[96];
    snprintf(id, sizeof id, "%s_budget", view->id);
    struct table *table = file_table(view, doc, faults);
    bool good = table != NULL;
    for (size_t k = 0; k < n && good; k++)
        good = budget_rows(&ranked[k], table, faults);
    good = good && named_table(view, ranked, n, doc, faults);
    table = good ? drawn_table(id, doc, faults) : NULL;
    good = table != NULL;
    for (size_t k = 0; k < n && good; k++)
        good = draw_bars(k, &ranked[k], table, faults);
    return good && budget_figure(view, id, ranked, n, doc, faults);
}

/* Of a mean there is no curve: its only coefficient says it. */
bool view_budget(const struct efficiency_view *view, struct document *doc, struct faults *faults)
{
    size_t p = view->e->form->n_coef, most = rank_most(view->e), n = p;
    struct ranked ranked[PANELS];
    struct rank_source *room = calloc((p + 1) * most, sizeof *room);
    if (room == NULL)
        return fault_memory(faults);
    for (size_t k = 0; k <= p; k++)
        ranked[k].sources = room + k * most;
    for (size_t j = 0; j < p; j++)
        rank_coef(view, j, &ranked[j]);
    if (p > 1)
        rank_curve(view, &ranked[n++]);
    bool good = tell(view, ranked, n, doc, faults);
    free(room);
    return good;
}
