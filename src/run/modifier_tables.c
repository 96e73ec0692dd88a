/* Tables and figure of a modifier's run. */
#include "run/modifier_view.h"

#include "run/modifier_entry.h"

#include <math.h>
#include <stdio.h>

#define RAD (M_PI / 180)

enum { BAND_ROWS = 91, FIGURE_COLUMNS = 6 };

static bool steps(const struct modifier_view *view, struct document *doc, struct faults *faults)
{
    const struct column columns[] = {
        {"theta_deg", "off the normal", "°", CELL_NUMBER, 0},
        {"K", "K", "", CELL_NUMBER, 3},
        {"half_95", "±", "", CELL_NUMBER, 3},
        {"known", "from", "", CELL_TEXT, 0},
    };
    struct table *table = modifier_table(
        view, "_modifier", "Incidence angle modifier of the beam",
        "± is half of the 95 % interval, if the form holds: beyond the points it is assumed",
        columns, 4, doc, faults);
    const char *before = view->together ? "the form alone" : "between both";
    for (int deg = 0; deg <= 90 && table != NULL; deg += 10) {
        struct fit_band band = modifier_at(view->m, deg * RAD);
        const char *known = deg == 0                                    ? "by definition"
                            : deg * RAD < view->m->fit.least_rad - 1e-9 ? before
                            : deg * RAD <= view->m->fit.most_rad + 1e-9 ? "the points"
                                                                        : "the form alone";
        struct cell cells[] = {cell_number(deg), cell_number(band.value), cell_number(band.half_95),
                               cell_text(known)};
        if (!table_row(table, cells, faults))
            return false;
    }
    return table != NULL;
}

static const char *half_day(const struct means *means)
{
    return !means->sun.known ? "" : means->sun.at[0] > 0 ? "before" : "after";
}

static bool points(const struct modifier_view *view, struct document *doc, struct faults *faults)
{
    const struct modifier *m = view->m;
    const struct column columns[] = {
        {"point", "point", "", CELL_TEXT, 0},
        {"theta_deg", "off the normal", "°", CELL_NUMBER, 1},
        {"noon", "sun's noon", "", CELL_TEXT, 0},
        {"diffuse_share", "diffuse share", "", CELL_NUMBER, 2},
        {"K_hem", "K of all the sunshine", "", CELL_NUMBER, 3},
        {"half_95", "±", "", CELL_NUMBER, 3},
        {"K_b", "K of the beam", "", CELL_NUMBER, 3},
        {"along_deg", "along", "°", CELL_NUMBER, 1},
        {"across_deg", "across", "°", CELL_NUMBER, 1},
    };
    struct table *table = modifier_table(
        view, "_ratios", view->together ? "Points and their angles" : "Points off the normal",
        "± counts the readings of the point alone", columns, 9, doc, faults);
    for (size_t i = 0; i < m->n && table != NULL; i++) {
        const struct fit_modifier_point *used = &m->used[i];
        const struct means *means = view->points[m->points[i].index].means;
        bool planes = isfinite(view->points[m->points[i].index].value.slope_rad);
        struct cell cells[] = {cell_text(means->name),
                               cell_number(used->at.theta_rad / RAD),
                               cell_text(half_day(means)),
                               cell_number(used->diffuse_share),
                               cell_number(used->k_total),
                               cell_number(1.96 * m->points[i].u_all),
                               cell_number(m->points[i].k_beam),
                               cell_number(planes ? used->at.along_rad / RAD : NAN),
                               cell_number(planes ? used->at.across_rad / RAD : NAN)};
        if (!table_row(table, cells, faults))
            return false;
    }
    return table != NULL;
}

static bool pairs(const struct modifier_view *view, struct document *doc, struct faults *faults)
{
    const struct modifier *m = view->m;
    const struct column columns[] = {
        {"before", "before the sun's noon", "", CELL_TEXT, 0},
        {"after", "after it", "", CELL_TEXT, 0},
        {"theta_deg", "off the normal", "°", CELL_NUMBER, 1},
        {"off", "K before less K after", "", CELL_NUMBER, 3},
        {"half_95", "±", "", CELL_NUMBER, 3},
    };
    if (m->n_pairs == 0)
        return true;
    struct table *table = modifier_table(view, "_pairs", "Pairs before and after the sun's noon",
                                         "the difference of their angles taken off by the form",
                                         columns, 5, doc, faults);
    for (size_t k = 0; k < m->n_pairs && table != NULL; k++) {
        const struct modifier_pair *pair = &m->pairs[k];
        struct cell cells[] = {
            cell_text(view->points[m->points[pair->before].index].means->name),
            cell_text(view->points[m->points[pair->after].index].means->name),
            cell_number(0.5 *
                        (m->used[pair->before].at.theta_rad + m->used[pair->after].at.theta_rad) /
                        RAD),
            cell_number(pair->off), cell_number(1.96 * pair->u)};
        if (!table_row(table, cells, faults))
            return false;
    }
    return table != NULL;
}

static bool row(struct table *table, const char *part, double theta_deg, double k, double half,
                const char *name, struct faults *faults)
{
    struct cell cells[FIGURE_COLUMNS] = {cell_text(part),       cell_number(theta_deg),
                                         cell_number(k),        cell_number(k - half),
                                         cell_number(k + half), cell_text(name)};
    return table_row(table, cells, faults);
}

static bool drawn_points(const struct modifier_view *view, struct table *table,
                         struct faults *faults)
{
    const struct modifier *m = view->m;
    for (size_t k = 0; k < m->n_pairs; k++) {
        const size_t ends[2] = {m->pairs[k].before, m->pairs[k].after};
        for (int e = 0; e < 2; e++)
            if (!row(table, "pair", m->used[ends[e]].at.theta_rad / RAD, m->points[ends[e]].k_beam,
                     NAN, "", faults))
                return false;
        if (!row(table, "pair", NAN, NAN, NAN, "", faults))
            return false;
    }
    for (size_t i = 0; i < m->n; i++) {
        const struct means *means = view->points[m->points[i].index].means;
        bool after = means->sun.known && !(means->sun.at[0] > 0);
        double f = m->used[i].diffuse_share, f0 = m->near.diffuse_share;
        double k_near = fit_modifier_beam(&m->fit.m, &m->near.at);
        double scale = (k_near * (1 - f0) + m->fit.k_diffuse * f0) / (1 - f);
        if (!row(table, after ? "after" : "before", m->used[i].at.theta_rad / RAD,
                 m->points[i].k_beam, 1.96 * scale * m->points[i].u_all, means->name, faults))
            return false;
    }
    return true;
}

/* K of the beam and its band as drawn. b0 cuts K off at nought, where a half width by slopes is
 * nought too; what K is at both ends of b0's interval is the same before that, and goes on. */
static bool band_row(struct table *table, const struct modifier *m, const char *part, int deg,
                     struct faults *faults)
{
    struct fit_band band = modifier_at(m, deg * RAD);
    double low = band.value - band.half_95, high = band.value + band.half_95;
    if (m->fit.m.form == FIT_MODIFIER_B0) {
        struct fit_angle at = {.theta_rad = deg * RAD};
        struct fit_modifier less = m->fit.m, more = m->fit.m;
        double half = modifier_coef(m, 0).half_95;
        less.coef[0] -= half;
        more.coef[0] += half;
        low = fit_modifier_beam(&more, &at);
        high = fit_modifier_beam(&less, &at);
    }
    struct cell cells[FIGURE_COLUMNS] = {cell_text(part),         cell_number(deg),
                                         cell_number(band.value), cell_number(low),
                                         cell_number(high),       cell_text("")};
    return table_row(table, cells, faults);
}

static bool figure(const struct modifier_view *view, struct document *doc, struct faults *faults)
{
    const struct modifier *m = view->m;
    static const char *const ids[FIGURE_COLUMNS] = {"part", "theta_deg", "K",
                                                    "low",  "high",      "name"};
    struct column columns[FIGURE_COLUMNS];
    char title[160], alt[240];
    for (size_t k = 0; k < FIGURE_COLUMNS; k++)
        columns[k] = (struct column){(char *)ids[k], (char *)ids[k], "",
                                     k == 0 || k == 5 ? CELL_TEXT : CELL_NUMBER, 5};
    struct table *table =
        modifier_table(view, "", "Drawn values", "", columns, FIGURE_COLUMNS, doc, faults);
    bool good = table != NULL;
    for (int deg = 0; deg < BAND_ROWS && good; deg++) {
        bool tested = deg * RAD <= m->fit.most_rad + 1e-9;
        bool last = tested && (deg + 1) * RAD > m->fit.most_rad + 1e-9;
        if (tested)
            good = band_row(table, m, "curve", deg, faults);
        if (good && (last || !tested)) /* both parts begin where the points end */
            good = band_row(table, m, "beyond", deg, faults);
    }
    good = good && drawn_points(view, table, faults);
    snprintf(title, sizeof title, "K = %.3f at %.0f° off the normal",
             modifier_at(m, view->told_deg * RAD).value, view->told_deg);
    snprintf(alt, sizeof alt,
             "Incidence angle modifier of the beam against the angle: %zu points from %.1f to "
             "%.1f°, the fitted form with its band, and %zu pairs before and after noon joined.",
             m->n, m->fit.least_rad / RAD, m->fit.most_rad / RAD, m->n_pairs);
    return good &&
           document_figure(doc, view->figure, "modifier", title, alt, view->figure, faults) != NULL;
}

bool modifier_tables(const struct modifier_view *view, struct document *doc, struct faults *faults)
{
    bool planes = view->m->fit.m.form == FIT_MODIFIER_TWO_PLANES;
    bool good = planes ? planes_figure(view, doc, faults) && planes_table(view, doc, faults)
                       : figure(view, doc, faults) && steps(view, doc, faults);
    return good && points(view, doc, faults) && pairs(view, doc, faults);
}
