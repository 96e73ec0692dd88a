#include "aid_document.h"

#include "base/text.h"
#include "result/curve.h"

#include <dirent.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#define WORD(s) ((char *)(uintptr_t)(s))
#define COLUMN_TEXT(i, l)                                                                          \
    {                                                                                              \
        WORD(i), WORD(l), WORD(""), CELL_TEXT, 0                                                   \
    }
#define COLUMN_NUMBER(i, l, u, d)                                                                  \
    {                                                                                              \
        WORD(i), WORD(l), WORD(u), CELL_NUMBER, d                                                  \
    }
#define COUNT(a) (sizeof(a) / sizeof((a)[0]))

static const double eta0 = 0.7731;
static const double a1 = 3.917;

static bool add_numbers(struct document *doc, struct faults *faults)
{
    struct part first[] = {
        {WORD("sun.calibration"), WORD("calibration of the pyranometer"), -0.0092},
        {WORD("pair.offset"), WORD("pair offset of the two thermometers"), 0.0061},
        {WORD("reading"), WORD("reading"), 0.0019}};
    struct part second[] = {
        {WORD("sun.calibration"), WORD("calibration of the pyranometer"), 0.0551},
        {WORD("pair.offset"), WORD("pair offset of the two thermometers"), -0.211},
        {WORD("reading"), WORD("reading"), 0.123}};
    struct number numbers[] = {
        {WORD("curve.eta0"), WORD("efficiency with water as warm as air"), WORD("eta0"), WORD(""),
         eta0, 0.011201, eta0 - 0.02399, eta0 + 0.02399, 13.7, first, COUNT(first)},
        {WORD("curve.a1"), WORD("heat loss"), WORD("a1"), WORD("W/(m2 K)"), a1, 0.250355,
         a1 - 0.5362, a1 + 0.5362, INFINITY, second, COUNT(second)},
        {WORD("curve.limit"), WORD("a number without an interval"), WORD(""), WORD("K"), 0.1,
         NAN, NAN, NAN, NAN, NULL, 0}};
    double u[2] = {0.011201, 0.250355};
    double cross = -0.0092 * 0.0551 - 0.0061 * 0.211 - 0.00018;
    double covariance[4] = {u[0] * u[0], cross, cross, u[1] * u[1]};
    for (size_t i = 0; i < COUNT(numbers); i++)
        if (!document_number(doc, &numbers[i], faults))
            return false;
    return document_covariance(doc, covariance, 2, faults);
}

static bool add_points(struct document *doc, struct faults *faults)
{
    struct column columns[] = {
        COLUMN_TEXT("name", "window"), COLUMN_NUMBER("x_m2_K_W", "T*m", "m2 K/W", 4),
        COLUMN_NUMBER("eta", "efficiency", "", 3), COLUMN_NUMBER("t_in_degC", "inlet", "degC", 2)};
    struct table *table =
        document_table(doc, "points", "Points", "Windows are named by their start.", columns,
                       COUNT(columns), faults);
    if (!table)
        return false;
    table->file = table->report = true;
    struct cell rows[][4] = {
        {cell_text("06-21 09:15"), cell_number(0.1 / 3), cell_number(0.7012), cell_number(-0.001)},
        {cell_text("=SUM(A1:A9), \"quoted\""), cell_number(NAN), cell_number(1e-7),
         cell_number(-7.25)},
        {cell_text(NULL), cell_number(0.0611), cell_number(0.499), cell_number(71.127)}};
    for (size_t i = 0; i < COUNT(rows); i++)
        if (!table_row(table, rows[i], faults))
            return false;
    return true;
}

/* A figure's table from its column ids; columns named in `texts` are text. */
static struct table *figure_table(struct document *doc, const char *id, const char *ids,
                                  const char *texts, struct faults *faults)
{
    struct column columns[20];
    char names[20][24];
    size_t n = 0;
    for (const char *at = ids; *at && n < 20; n++) {
        size_t length = strcspn(at, " ");
        snprintf(names[n], sizeof names[n], "%.*s", (int)length, at);
        at += length + (at[length] == ' ');
        columns[n] = (struct column){names[n], names[n], WORD(""),
                                     strstr(texts, names[n]) ? CELL_TEXT : CELL_NUMBER, 3};
    }
    return document_table(doc, id, id, "", columns, n, faults);
}

static bool add_cells(struct table *table, const char *part, const double *values, const char *name,
                      struct faults *faults)
{
    struct cell cells[20];
    size_t numbers = 0;
    for (size_t i = 0; i < table->n_columns; i++) {
        bool text = table->columns[i].kind == CELL_TEXT;
        cells[i] = !text ? cell_number(values[numbers++]) : cell_text(i == 0 ? part : name);
    }
    return table_row(table, cells, faults);
}

static bool add_curve(struct document *doc, struct faults *faults)
{
    struct table *table = figure_table(doc, "curve_table",
                                       "part x y x_low x_high y_low y_high curve_low curve_high "
                                       "next_low next_high bench_low bench_high name",
                                       "part name", faults);
    bool ok = table != NULL;
    for (int i = 0; ok && i < 9; i++) {
        double x = 0.0017 + 0.0071 * i;
        double y = eta0 - a1 * x + 0.004 * ((i * 7) % 5 - 2);
        double point[] = {x,   y,   x - 0.0011, x + 0.0011, y - 0.013, y + 0.013,
                          NAN, NAN, NAN,        NAN,        NAN,       NAN};
        ok = add_cells(table, i == 5 ? "left out" : "point", point,
                       i == 5 ? "\"group 5\", it's" : "", faults);
    }
    for (int i = 0; ok && i <= 60; i++) {
        double x = 0.062 * i / 60;
        double y = eta0 - a1 * x;
        double c = 0.009 + 0.3 * fabs(x - 0.025);
        double curve[] = {x,     y,     NAN,          NAN,          NAN,          NAN,
                          y - c, y + c, y - c - .006, y + c + .006, y - c - .016, y + c + .016};
        ok = add_cells(table, "curve", curve, NULL, faults);
    }
    struct figure *figure =
        ok ? document_figure(doc, "curve", "curve",
                             "It's 77 % <with> water & air; `id` $(id) {x}_1",
                             "A line that falls from 0.77 to 0.53.", "curve_table", faults)
           : NULL;
    return figure && figure_set_number(figure, "g_W_m2", 850, faults) &&
           figure_set_text(figure, "formula", "η = 0.773 − 3.92 T*", faults);
}

static bool add_residuals(struct document *doc, struct faults *faults)
{
    struct table *table = figure_table(doc, "residuals_table", "part x hour residual low high name",
                                       "part name", faults);
    bool ok = table != NULL;
    for (int i = 0; ok && i < 9; i++) {
        double r = 0.004 * ((i * 7) % 5 - 2);
        double row[] = {0.0017 + 0.0071 * i, 9.25 + 0.71 * i, r, r - 0.013, r + 0.013};
        ok = add_cells(table, i == 5 ? "left out" : "point", row, "window", faults);
    }
    return ok && document_figure(doc, "residuals", "residuals", "No pattern is left",
                                 "Points near 0.", "residuals_table", faults);
}

static bool add_budget(struct document *doc, struct faults *faults)
{
    struct table *table =
        figure_table(doc, "budget_table", "part panel rank kind u label", "part label", faults);
    const double rows[][4] = {{0, 0, 0, 0.0092},
                              {0, 1, 1, 0.0061},
                              {0, 2, 2, 0.0019},
                              {1, 0, 3, 0.211},
                              {1, 1, 0, 0.0551}};
    bool ok = table != NULL;
    for (size_t i = 0; ok && i < COUNT(rows); i++)
        ok = add_cells(table, "bar", rows[i], "a source", faults);
    struct figure *figure =
        ok ? document_figure(doc, "budget", "budget", "The pyranometer limits it", "Bars.",
                             "budget_table", faults)
           : NULL;
    return figure && figure_set_number(figure, "panels", 2, faults) &&
           figure_set_text(figure, "panel_0", "η₀ = 0.773 ± 0.024", faults) &&
           figure_set_number(figure, "total_0", 0.0112, faults) &&
           figure_set_text(figure, "panel_1", "a₁ = 3.92 ± 0.54 W/(m² K)", faults);
}

static bool add_timeline(struct document *doc, struct faults *faults)
{
    struct table *table =
        figure_table(doc, "timeline_table",
                     "part start_s end_s lane g_min g_mean g_max amb_min amb_mean "
                     "amb_max in_min in_mean in_max out_min out_mean out_max "
                     "flow_min flow_mean flow_max",
                     "part", faults);
    const double begin = 1782032400; /* 09:00 */
    bool ok = table != NULL;
    for (int i = 0; ok && i < 120; i++) {
        double s = begin + 120.0 * i;
        double g = 700 + 2 * i;
        double bin[] = {s,  s + 120, NAN, g - 15, g,  g + 12,     NAN,        NAN,       NAN, 39,
                        40, 40.2,    46,  46.8,   47, 71 + i % 3, 72 + i % 3, 73 + i % 3};
        if (i < 50 || i > 57)
            ok = add_cells(table, "bin", bin, NULL, faults);
    }
    double stretch[18];
    for (size_t i = 0; i < COUNT(stretch); i++)
        stretch[i] = NAN;
    for (int i = 0; ok && i < 4; i++) {
        stretch[0] = begin + 900 + 3000 * i;
        stretch[1] = stretch[0] + 1200;
        stretch[2] = i < 2 ? (double)NAN : i - 1.0;
        ok = add_cells(table, i < 2 ? "window" : "refused", stretch, NULL, faults);
    }
    struct figure *figure = ok ? document_figure(doc, "timeline", "timeline", "Two windows",
                                                 "Four panels.", "timeline_table", faults)
                               : NULL;
    return figure && figure_set_number(figure, "lanes", 2, faults) &&
           figure_set_text(figure, "lane_1", "irradiance not steady", faults) &&
           figure_set_text(figure, "lane_2", "inlet drifts", faults);
}

static bool add_words(struct document *doc, struct faults *faults)
{
    return document_finding(doc, FINDING_UNCERTAINTY, false, faults,
                            "The pyranometer's calibration gives %d %% of it.", 68) &&
           document_finding(doc, FINDING_ANSWER, false, faults,
                            "With water as warm as air it turns 77.3 ± 2.4 %% of the sunshine into "
                            "heat: 1,300 W at 850 W/m² on 1.98 m².") &&
           document_finding(doc, FINDING_WINDOWS, false, faults, "9 windows found, 2 refused.") &&
           document_finding(doc, FINDING_CANNOT, true, faults, "Nothing can be said of wind.") &&
           document_finding(doc, FINDING_CRITERIA, false, faults, "4 met, 0 not met.") &&
           document_finding(doc, FINDING_NOT_STATED, false, faults, "Wind; sky.") &&
           document_finding(doc, FINDING_DETAIL, false, faults, "Plain least squares: 0.771.") &&
           document_caution(doc, "An idle glazed collector can pass 150 °C: burns, steam.",
                            faults) &&
           document_fact(doc, "input", "day1.csv", faults, "sha256 %s", "0f3c") &&
           document_fact(doc, "program", "version", faults, "%d.%d", 0, 1);
}

bool aid_document(struct document *doc, struct faults *faults)
{
    struct curve curve;
    curve_init(&curve);
    strcpy(curve.form, "line");
    strcpy(curve.area_basis, "gross");
    strcpy(curve.temperature, "mean");
    curve.area_m2 = 1.98;
    curve.x_low = 0.0017;
    curve.x_high = 0.0585;
    curve.g_low_W_m2 = 702.3;
    curve.g_high_W_m2 = 938.1;
    return document_init(doc, "efficiency", "Plate A, stove paint", faults) &&
           add_numbers(doc, faults) && add_points(doc, faults) && add_curve(doc, faults) &&
           add_residuals(doc, faults) && add_budget(doc, faults) && add_timeline(doc, faults) &&
           add_words(doc, faults) && curve_state(&curve, doc, faults);
}

static bool is_entity(const char *at)
{
    static const char *const known[] = {"&amp;", "&lt;", "&gt;", "&quot;", "&apos;", "&#"};
    for (size_t i = 0; i < COUNT(known); i++)
        if (strncmp(at, known[i], strlen(known[i])) == 0)
            return true;
    return false;
}

bool aid_is_well_formed(const char *xml, size_t n)
{
    enum { DEEPEST = 64 };
    char open[DEEPEST][32];
    size_t depth = 0;
    if (!text_is_utf8(xml, n) || strlen(xml) != n)
        return false;
    for (const char *at = xml; *at; at++) {
        if (*at == '&' && !is_entity(at))
            return false;
        if (*at != '<' || at[1] == '?' || at[1] == '!')
            continue;
        const char *end = strchr(at, '>');
        bool closing = at[1] == '/';
        size_t length = strcspn(at + 1 + closing, " \t\n/>");
        char name[32];
        if (!end || length == 0 || length >= sizeof name)
            return false;
        snprintf(name, sizeof name, "%.*s", (int)length, at + 1 + closing);
        if (closing && (depth == 0 || strcmp(open[--depth], name) != 0))
            return false;
        if (!closing && end[-1] != '/') {
            if (depth == DEEPEST)
                return false;
            strcpy(open[depth++], name);
        }
    }
    return depth == 0;
}

bool aid_gnuplot(const char *name)
{
    static char *start;
    if (!start && getenv("PATH"))
        start = strdup(getenv("PATH"));
    if (!name)
        return setenv("PATH", start ? start : "/usr/bin:/bin", 1) == 0;
    char relative[200];
    snprintf(relative, sizeof relative, "tests/faults/%s", name);
    char *folder = realpath(relative, NULL);
    bool ok = folder && setenv("PATH", folder, 1) == 0;
    free(folder);
    return ok;
}
