/* What a run says of a modifier of two planes: numbers, sentences, table and figure. */
#include "run/modifier_view.h"

#include "run/modifier_draws.h"
#include "run/modifier_entry.h"
#include "run/words.h"

#include <math.h>
#include <stdio.h>

#define RAD (M_PI / 180)

enum { PLANES = 2, BAND_ROWS = 91, FIGURE_COLUMNS = 7, TABLE_COLUMNS = 5 };

static const char *const words[PLANES] = {"along", "across"};

/* An angle that lies in one plane. */
static struct fit_angle in_plane(int plane, double angle_rad)
{
    return (struct fit_angle){.theta_rad = fmin(angle_rad, 0.9999 * M_PI_2),
                              .along_rad = plane == 0 ? angle_rad : 0,
                              .across_rad = plane == 1 ? angle_rad : 0};
}

static struct fit_band band_at(const struct modifier *m, int plane, double deg)
{
    struct fit_angle at = in_plane(plane, deg * RAD);
    if (deg >= 90)
        return (struct fit_band){.value = 0, .dof = INFINITY};
    return modifier_at_angle(m, &at);
}

static double told_deg(const struct modifier *m, int plane)
{
    return fmin(50, floor(m->plane_most_rad[plane] / RAD + 1e-6));
}

struct fit_angle planes_told(const struct modifier *m)
{
    return in_plane(1, told_deg(m, 1) * RAD);
}

struct fit_angle planes_across(double angle_rad)
{
    return in_plane(1, angle_rad);
}

bool planes_numbers(const struct modifier_view *view, struct document *doc, struct faults *faults)
{
    static const char *const labels[PLANES] = {
        "incidence angle modifier 50° off the normal along the tubes",
        "incidence angle modifier 50° off the normal across the tubes"};
    static const char *const symbols[PLANES] = {"K_along_50", "K_across_50"};
    for (int k = 0; k < PLANES; k++) {
        struct fit_band band = band_at(view->m, k, 50);
        size_t place = modifier_draws_k_50(view->m) + (size_t)k;
        if (!modifier_number(view, symbols[k], labels[k], &band, place, doc, faults))
            return false;
    }
    return true;
}

bool planes_answer(const struct modifier_view *view, struct document *doc, struct faults *faults)
{
    const struct modifier *m = view->m;
    char k[PLANES][WORDS_SIZE], sky[WORDS_SIZE];
    struct fit_band d = modifier_diffuse(m);
    for (int p = 0; p < PLANES; p++) {
        struct fit_band band = band_at(m, p, told_deg(m, p));
        words_percent(band.value, band.half_95, k[p], WORDS_SIZE);
    }
    return document_finding(doc, FINDING_ANSWER, false, faults,
                            "With the sun %.0f° off its normal along the tubes the collector takes "
                            "%s of the beam that it would take on it, %.0f° off across them %s "
                            "(incidence angle modifier K; of both at once the product); of light "
                            "from the whole sky %s (by integration; beyond %.0f° along and %.0f° "
                            "across the form alone says it).",
                            told_deg(m, 0), k[0], told_deg(m, 1), k[1],
                            words_percent(d.value, d.half_95, sky, sizeof sky),
                            m->plane_most_rad[0] / RAD, m->plane_most_rad[1] / RAD);
}

bool planes_form(const struct modifier_view *view, struct document *doc, struct faults *faults)
{
    const struct modifier *m = view->m;
    return document_finding(
        doc, FINDING_DETAIL, false, faults,
        "Modifier: K = K along × K across, each a table at multiples of 10° (20° where that would "
        "be too many) that points are near to, straight between them, 1 at 0° and 0 at 90°, alike "
        "to both sides; fitted from %.1f to %.1f° along the tubes, which run %s, and %.1f to %.1f° "
        "across them. tan² of the angle is the sum of tan² of both.",
        m->plane_least_rad[0] / RAD, m->plane_most_rad[0] / RAD,
        view->run->tubes_level ? "level" : "up the slope", m->plane_least_rad[1] / RAD,
        m->plane_most_rad[1] / RAD);
}

static const char *known_of(const struct modifier *m, int plane, int deg)
{
    if (deg == 0)
        return "by definition";
    bool seen = deg * RAD >= m->plane_least_rad[plane] - 1e-9 &&
                deg * RAD <= m->plane_most_rad[plane] + 1e-9;
    return seen ? "the points" : "the form alone";
}

bool planes_table(const struct modifier_view *view, struct document *doc, struct faults *faults)
{
    const struct column columns[TABLE_COLUMNS] = {
        {"plane", "plane", "", CELL_TEXT, 0}, {"theta_deg", "off the normal", "°", CELL_NUMBER, 0},
        {"K", "K", "", CELL_NUMBER, 3},       {"half_95", "±", "", CELL_NUMBER, 3},
        {"known", "from", "", CELL_TEXT, 0},
    };
    struct table *table =
        modifier_table(view, "_planes", "Incidence angle modifier of the beam, in two planes",
                       "± is half of the 95 % interval, if the form holds: beyond the points it is "
                       "assumed",
                       columns, TABLE_COLUMNS, doc, faults);
    for (int plane = 0; plane < PLANES && table != NULL; plane++)
        for (int deg = 0; deg <= 90; deg += 10) {
            struct fit_band band = band_at(view->m, plane, deg);
            struct cell cells[TABLE_COLUMNS] = {cell_text(words[plane]), cell_number(deg),
                                                cell_number(band.value), cell_number(band.half_95),
                                                cell_text(known_of(view->m, plane, deg))};
            if (!table_row(table, cells, faults))
                return false;
        }
    return table != NULL;
}

static bool row(struct table *table, const char *part, int plane, double deg, double k, double half,
                const char *name, struct faults *faults)
{
    struct cell cells[FIGURE_COLUMNS] = {
        cell_text(part),       cell_number(plane),    cell_number(deg), cell_number(k),
        cell_number(k - half), cell_number(k + half), cell_text(name)};
    return table_row(table, cells, faults);
}

static bool curves(const struct modifier *m, int plane, struct table *table, struct faults *faults)
{
    double most = m->plane_most_rad[plane] + 1e-9;
    for (int deg = 0; deg < BAND_ROWS; deg++) {
        struct fit_band band = band_at(m, plane, deg);
        bool tested = deg * RAD <= most, last = tested && (deg + 1) * RAD > most;
        if (tested && !row(table, "curve", plane, deg, band.value, band.half_95, "", faults))
            return false;
        if ((last || !tested) && /* both parts begin where the points end */
            !row(table, "beyond", plane, deg, band.value, band.half_95, "", faults))
            return false;
    }
    return true;
}

/* A point's K, less what the other plane makes of it. */
static bool points(const struct modifier_view *view, int plane, struct table *table,
                   struct faults *faults)
{
    const struct modifier *m = view->m;
    double f0 = m->near.diffuse_share;
    double whole = fit_modifier_beam(&m->fit.m, &m->near.at) * (1 - f0) + m->fit.k_diffuse * f0;
    for (size_t i = 0; i < m->n; i++) {
        const struct fit_modifier_point *used = &m->used[i];
        const struct means *means = view->points[m->points[i].index].means;
        double own = plane == 0 ? used->at.along_rad : used->at.across_rad;
        double off = plane == 0 ? used->at.across_rad : used->at.along_rad;
        struct fit_angle other = in_plane(1 - plane, fabs(off));
        double k = fit_modifier_beam(&m->fit.m, &other);
        double half = 1.96 * whole / (1 - used->diffuse_share) * m->points[i].u_all;
        bool after = means->sun.known && !(means->sun.at[0] > 0);
        if (!row(table, after ? "after" : "before", plane, fabs(own) / RAD, m->points[i].k_beam / k,
                 half / k, means->name, faults))
            return false;
    }
    return true;
}

bool planes_figure(const struct modifier_view *view, struct document *doc, struct faults *faults)
{
    static const char *const ids[FIGURE_COLUMNS] = {"part", "plane", "theta_deg", "K",
                                                    "low",  "high",  "name"};
    const struct modifier *m = view->m;
    struct column columns[FIGURE_COLUMNS];
    char title[160], alt[300];
    for (size_t k = 0; k < FIGURE_COLUMNS; k++)
        columns[k] = (struct column){(char *)ids[k], (char *)ids[k], "",
                                     k == 0 || k == 6 ? CELL_TEXT : CELL_NUMBER, 5};
    struct table *table =
        modifier_table(view, "", "Drawn values", "", columns, FIGURE_COLUMNS, doc, faults);
    bool good = table != NULL;
    for (int plane = 0; plane < PLANES && good; plane++)
        good = curves(m, plane, table, faults) && points(view, plane, table, faults);
    snprintf(title, sizeof title, "K = %.3f at %.0f° along the tubes, %.3f at %.0f° across them",
             band_at(m, 0, told_deg(m, 0)).value, told_deg(m, 0),
             band_at(m, 1, told_deg(m, 1)).value, told_deg(m, 1));
    snprintf(alt, sizeof alt,
             "Incidence angle modifier of the beam against the angle in two planes: %zu points to "
             "%.1f° along the tubes and %.1f° across them, each plane's table with its band, what "
             "the other plane does taken off the points.",
             m->n, m->plane_most_rad[0] / RAD, m->plane_most_rad[1] / RAD);
    return good &&
           document_figure(doc, view->figure, "planes", title, alt, view->figure, faults) != NULL;
}
