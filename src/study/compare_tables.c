/* Tables and the figure of a comparison. */
#include "study/compare_view.h"

#include "fit/bands.h"
#include "fit/combine.h"
#include "run/efficiency_view.h"
#include "run/words.h"

#include <math.h>
#include <stdio.h>

enum { FIGURE_COLUMNS = 7, FIGURE_STEPS = 60 };

#define TEXT(ID, LABEL) {.id = (ID), .label = (LABEL), .unit = "", .kind = CELL_TEXT}
#define NUMBER(ID, LABEL, UNIT, DIGITS) \
    {.id = (ID), .label = (LABEL), .unit = (UNIT), .kind = CELL_NUMBER, .digits = (DIGITS)}
#define LENGTH_OF(array) (sizeof(array) / sizeof(array)[0])

static const char *const verdicts[] = {[DIFFERENCE_REAL] = "real",
                                       [DIFFERENCE_UNTOLD] = "cannot tell",
                                       [DIFFERENCE_OPEN] = "open"};

/* Of one pair, for people: who is who stands in its title. */
enum { FOR_PEOPLE = 2 };

static bool points_row(const struct compare_view *view, const struct difference *difference,
                       double K, size_t skip, struct table *table, struct faults *faults)
{
    struct difference_at at;
    difference_look(difference, K / view->g_W_m2, view->g_W_m2, &at);
    struct cell cells[] = {cell_text(difference->a->name),
                           cell_text(difference->b->name),
                           cell_number(K),
                           cell_number(at.a),
                           cell_number(at.b),
                           cell_number(100 * at.value),
                           cell_number(100 * at.half_95),
                           cell_number(view->g_W_m2 * at.value),
                           cell_number(view->g_W_m2 * at.half_95),
                           cell_number(100 * at.least),
                           cell_text(verdicts[difference_verdict(&at)])};
    return table_row(table, cells + skip, faults);
}

static bool points_rows(const struct compare_view *view, const struct difference *difference,
                        size_t skip, struct table *table, struct faults *faults)
{
    double K[COMPARE_POINTS];
    size_t n = compare_points(view, difference, K);
    for (size_t k = 0; k < n; k++)
        if (!points_row(view, difference, K[k], skip, table, faults))
            return false;
    return true;
}

static void points_note(const struct compare_view *view, char *note, size_t size)
{
    bool stated = false, paired = false;
    for (size_t i = 0; i < view->n; i++)
        stated |= view->tests[i].is_stated;
    for (size_t i = 0; i + 1 < view->n; i++)
        paired |= view->differences[i].is_paired || view->differences[i].is_stacked;
    snprintf(note, size,
             "At %.0f W/m²; ±: half of a 95 %% interval of the difference; watts for each m² of %s "
             "area; 'told from': what four of five such pairs of tests would tell%s%s",
             view->g_W_m2, area_word(view->basis.area),
             stated ? "; 'open': beyond ±, which holds only the errors that are stated" : "",
             paired
                 ? "; a difference read from windows at the same times, or solved with instruments "
                   "that changed places, need not be that of the two curves to the last digit"
                 : "");
}

/* One table for programs, and for people one for each pair. */
static bool points_table(const struct compare_view *view, struct document *doc,
                         struct faults *faults)
{
    char note[520], id[40], title[2 * TESTED_NAME_SIZE + 24];
    points_note(view, note, sizeof note);
    struct column columns[] = {TEXT("first", "first"),
                               TEXT("other", "other"),
                               NUMBER("above air [K]", "fluid − air", "K", 0),
                               NUMBER("efficiency first", "first", "", 3),
                               NUMBER("efficiency other", "other", "", 3),
                               NUMBER("difference [%]", "difference", "% points", 1),
                               NUMBER("pm difference [%]", "+-", "% points", 1),
                               NUMBER("difference [W/m2]", "power", "W/m2", 0),
                               NUMBER("pm difference [W/m2]", "+-", "W/m2", 0),
                               NUMBER("told from [%]", "told from", "% points", 1),
                               TEXT("verdict", "verdict")};
    struct table *table = document_table(doc, "compare_points", "The difference", note, columns,
                                         LENGTH_OF(columns), faults);
    if (table == NULL)
        return false;
    table->file = true;
    table->place = TABLE_ANSWER;
    for (size_t i = 0; i + 1 < view->n; i++)
        if (!points_rows(view, &view->differences[i], 0, table, faults))
            return false;
    for (size_t i = 0; i + 1 < view->n; i++) {
        const struct difference *difference = &view->differences[i];
        snprintf(id, sizeof id, "compare_pair_%zu", i + 1);
        snprintf(title, sizeof title, "'%s' less '%s'", difference->a->name, difference->b->name);
        table = document_table(doc, id, title, note, columns + FOR_PEOPLE,
                               LENGTH_OF(columns) - FOR_PEOPLE, faults);
        if (table == NULL)
            return false;
        table->report = true;
        table->place = TABLE_ANSWER;
        if (!points_rows(view, difference, FOR_PEOPLE, table, faults))
            return false;
    }
    return true;
}

static bool coefficients(const struct compare_view *view, struct document *doc,
                         struct faults *faults)
{
    struct column columns[] = {TEXT("collector", "collector"), TEXT("coefficient", "coefficient"),
                               NUMBER("value", "value", "", 4),
                               NUMBER("u", "standard u", "", 4), TEXT("unit", "unit")};
    struct table *table =
        document_table(doc, "compare_coefficients", "Coefficients of each",
                       "Alone against the truth: errors that both share are not taken out here; "
                       "empty where a publication does not state all that counts",
                       columns, LENGTH_OF(columns), faults);
    if (table == NULL)
        return false;
    table->report = table->file = true;
    table->place = TABLE_ANSWER;
    for (size_t i = 0; i < view->n; i++) {
        const struct efficiency *e = &view->tests[i].e;
        for (size_t j = 0; j < e->form->n_coef; j++) {
            double u, dof;
            efficiency_combined(e, j, &u, &dof);
            if (view->tests[i].is_stated && stated_curve_lacks(&view->tests[i].stated, j))
                u = NAN;
            struct cell cells[] = {cell_text(view->tests[i].name), cell_text(e->form->symbols[j]),
                                   cell_number(e->curve.coef[j]), cell_number(u),
                                   cell_text(view_coef_unit(e->form->symbols[j]))};
            if (!table_row(table, cells, faults))
                return false;
        }
    }
    return true;
}

/* With a publication nothing is shared: its rows would only repeat those of the other. */
static bool shares(const struct difference *difference)
{
    return !difference->a->is_stated && !difference->b->is_stated;
}

/* The label of a row without its owner's name would not tell rows apart: both ids are printed. */
static bool shared_table(const struct compare_view *view, struct document *doc,
                         struct faults *faults)
{
    struct column columns[] = {TEXT("what", "what"), TEXT("first", "in the first"),
                               TEXT("other", "in the other"), TEXT("shared", "counts as")};
    struct table *table = document_table(
        doc, "compare_shared", "What the tests had in common",
        "An error counts as shared by the same 'id', the same column of the same file, or as said; "
        "equal names alone count as different",
        columns, LENGTH_OF(columns), faults);
    if (table == NULL)
        return false;
    table->report = table->file = true;
    table->place = TABLE_RESULT;
    for (size_t i = 0; i + 1 < view->n; i++)
        for (size_t k = 0; shares(&view->differences[i]) && k < view->differences[i].n_rows; k++) {
            const struct shared_row *row = &view->differences[i].rows[k];
            const struct error_source *any = row->a != NULL ? row->a : row->b;
            struct cell cells[] = {cell_text(any->label),
                                   cell_text(row->a != NULL ? row->a->id : ""),
                                   cell_text(row->b != NULL ? row->b->id : ""),
                                   cell_text(shared_by_words(row->by))};
            if (!table_row(table, cells, faults))
                return false;
        }
    return true;
}

bool compare_tables(const struct compare_view *view, struct document *doc, struct faults *faults)
{
    return points_table(view, doc, faults) && coefficients(view, doc, faults) &&
           shared_table(view, doc, faults);
}

static bool drawn(struct table *table, const char *part, size_t series, double x, double y,
                  double half, const char *name, struct faults *faults)
{
    struct cell cells[FIGURE_COLUMNS] = {cell_text(part),         cell_number((double)series),
                                         cell_number(x),          cell_number(y),
                                         cell_number(y - half),   cell_number(y + half),
                                         cell_text(name)};
    return table_row(table, cells, faults);
}

static bool draw_curve(const struct compare_view *view, size_t i, struct table *table,
                       struct faults *faults)
{
    const struct tested *t = &view->tests[i];
    const struct design *d = &t->e.design;
    struct fit_parts parts = efficiency_parts(&t->e);
    double from = d->least_x > 0 && d->least_x < 0.25 * (d->most_x - d->least_x) ? 0 : d->least_x;
    for (int k = 0; k <= FIGURE_STEPS; k++) {
        double terms[EFFICIENCY_COEFS];
        struct fit_band band;
        struct fit_condition at = {.x = from + (d->most_x - from) * k / FIGURE_STEPS,
                                   .g = view->g_W_m2,
                                   .wind = t->e.draw_wind};
        t->e.form->terms(&at, terms);
        fit_band_curve(&parts, terms, &band);
        if (!drawn(table, "curve", i + 1, at.x, band.value, band.half_95, t->name, faults))
            return false;
    }
    return true;
}

/* A point measured at another irradiance is brought to the drawn one along its curve. */
static bool draw_points(const struct compare_view *view, size_t i, struct table *table,
                        struct faults *faults)
{
    const struct tested *t = &view->tests[i];
    for (size_t k = 0; k < t->e.n; k++) {
        const struct fit_point *p = &t->e.used[k];
        struct fit_condition there = {.x = p->at.x, .g = view->g_W_m2, .wind = t->e.draw_wind};
        double eta = p->eta + fit_form_value(t->e.form, t->e.curve.coef, &there) -
                     fit_form_value(t->e.form, t->e.curve.coef, &p->at);
        if (!drawn(table, "point", i + 1, p->at.x, eta, NAN,
                   t->points[t->e.index[k]].means->name, faults))
            return false;
    }
    return true;
}

static bool draw_difference(const struct compare_view *view, size_t i, struct table *table,
                            struct faults *faults)
{
    const struct difference *difference = &view->differences[i];
    double from = difference->x_low, to = difference->x_high;
    for (int k = 0; k <= FIGURE_STEPS && from <= to; k++) {
        struct difference_at at;
        double x = from + (to - from) * k / FIGURE_STEPS;
        difference_look(difference, x, view->g_W_m2, &at);
        if (!drawn(table, "difference", i + 2, x, 100 * at.value, 100 * at.half_95,
                   difference->b->name, faults))
            return false;
    }
    return true;
}

/* Each pair's difference, brought to the drawn irradiance along the difference's curve. */
static bool draw_pairs(const struct compare_view *view, size_t i, struct table *table,
                       struct faults *faults)
{
    const struct paired *paired = &view->differences[i].paired;
    for (size_t k = 0; view->differences[i].is_paired && k < paired->n; k++) {
        const struct paired_point *point = &paired->points[k];
        struct difference_at there;
        difference_look(&view->differences[i], point->pair->at.x, view->g_W_m2, &there);
        if (!drawn(table, "pair", i + 2, point->pair->at.x, 100 * (there.value + point->residual),
                   NAN, view->differences[i].b->name, faults))
            return false;
    }
    return true;
}

static bool fill_figure(const struct compare_view *view, struct table *table,
                        struct faults *faults)
{
    for (size_t i = 0; i < view->n; i++)
        if (!draw_curve(view, i, table, faults))
            return false;
    for (size_t i = 0; i < view->n; i++)
        if (!draw_points(view, i, table, faults))
            return false;
    for (size_t i = 0; i + 1 < view->n; i++)
        if (!draw_difference(view, i, table, faults) || !draw_pairs(view, i, table, faults))
            return false;
    return true;
}

/* The finding of the first pair, in the middle of its range. */
static void finding(const struct compare_view *view, char *out, size_t size)
{
    double K[COMPARE_POINTS];
    struct difference_at at;
    char words[WORDS_SIZE];
    const struct difference *difference = &view->differences[0];
    size_t n = compare_points(view, difference, K);
    if (n == 0) {
        snprintf(out, size, "No temperature at which both were tested");
        return;
    }
    double middle = K[n / 2];
    difference_look(difference, middle / view->g_W_m2, view->g_W_m2, &at);
    words_pm(100 * fabs(at.value), 100 * at.half_95, "points", words, sizeof words);
    const char *better = (at.value > 0 ? difference->a : difference->b)->name;
    if (difference_verdict(&at) == DIFFERENCE_REAL)
        snprintf(out, size, "%.0f K above the air '%.60s' is really better, by %s", middle, better,
                 words);
    else if (difference_verdict(&at) == DIFFERENCE_OPEN)
        snprintf(out, size, "%.0f K above the air '%.60s' lies higher by %s; not all errors are "
                            "stated, ± is a lower bound", middle, better, words);
    else
        snprintf(out, size, "%.0f K above the air these tests cannot tell (%s)", middle, words);
}

static bool set_names(const struct compare_view *view, struct figure *figure,
                      struct faults *faults)
{
    for (size_t i = 0; i < view->n; i++) {
        char name[40];
        snprintf(name, sizeof name, "name_%zu", i + 1);
        if (!figure_set_text(figure, name, view->tests[i].name, faults))
            return false;
    }
    return true;
}

bool compare_figure(const struct compare_view *view, struct document *doc, struct faults *faults)
{
    struct column columns[FIGURE_COLUMNS] = {
        TEXT("part", "part"),           NUMBER("series", "series", "", 0),
        NUMBER("T*", "T*", "", 5),      NUMBER("y", "y", "", 4),
        NUMBER("low", "low", "", 4),    NUMBER("high", "high", "", 4),
        TEXT("name", "name")};
    char title[240], alt[520];
    struct table *table = document_table(doc, "compare", "Drawn values", "", columns,
                                         FIGURE_COLUMNS, faults);
    if (table == NULL)
        return false;
    table->place = TABLE_ANSWER;
    finding(view, title, sizeof title);
    snprintf(
        alt, sizeof alt,
        "%s. Above: efficiency against reduced temperature, %zu curves with 95 %% bands and "
        "points. Below: the first less each of the others in percentage points, with the 95 %% "
        "band of the difference%s.",
        title, view->n,
        view->differences[0].is_paired ? " and the pairs of windows from which it was read" : "");
    if (!fill_figure(view, table, faults))
        return false;
    struct figure *figure = document_figure(doc, "compare", "compare", title, alt, "compare",
                                            faults);
    return figure != NULL && figure_set_number(figure, "g_W_m2", view->g_W_m2, faults) &&
           figure_set_number(figure, "series", (double)view->n, faults) &&
           set_names(view, figure, faults);
}
