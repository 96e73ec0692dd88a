/* An efficiency run on its way into a document: what its parts look at.
 */
#ifndef RUN_EFFICIENCY_VIEW_H
#define RUN_EFFICIENCY_VIEW_H

#include "base/faults.h"
#include "point/point.h"
#include "result/document.h"
#include "run/efficiency.h"
#include "run/draws.h"
#include "run/reduction.h"

#include <stdbool.h>
#include <stddef.h>

struct efficiency_view {
    const struct reduction *reduction;
    const struct run_section *run;
    const struct efficiency *e;
    const struct draws *draws; /* NULL: not asked for */
    const struct point *points;
    size_t n; /* all points, left-out ones too */
    const struct point_setup *setup;
    char id[64];     /* of the run, safe in file names */
    char prefix[64]; /* of its numbers: "curve" for the first run */
};

/* Value of the curve with its three bands at a condition. */
struct view_bands {
    struct fit_band curve;
    struct fit_band next;
    struct fit_band bench;
};
void view_bands_at(const struct efficiency_view *view, double x, double g_W_m2,
                   struct view_bands *bands);

/* Where the drawn curve begins and ends (m2 K/W). */
void view_range(const struct efficiency_view *view, double *from, double *to);

/* What the temperature of the run is of: "water", "the water entering", "the fluid" ... */
const char *view_fluid(const struct efficiency_view *view);

/* Reduced temperature (m2 K/W) at which the curve's sources are ranked: as stated, else the middle
 * of the tested range. */
double view_budget_x(const struct efficiency_view *view);

/* "efficiency with water as warm as the air" for "eta0" and so on. */
const char *view_coef_label(const struct efficiency_view *view, const char *symbol);
const char *view_coef_unit(const char *symbol);   /* ASCII: "W/(m2 K)" */
const char *view_coef_people(const char *symbol); /* "η₀" */
const char *view_unit_people(const char *symbol); /* "W/(m² K)" */

/* Groups of a class, in the order of their first points; past VIEW_GROUPS_MOST they are one more.
 * (efficiency_groups.c) */
enum { VIEW_GROUPS_MOST = 64 };
struct view_group_list {
    size_t first[VIEW_GROUPS_MOST]; /* point of each */
    size_t n;
};
void view_find_groups(const struct efficiency_view *view, struct view_group_list *groups);
size_t view_group_of(const struct efficiency_view *view, const struct view_group_list *groups,
                     size_t point);                       /* groups->n if it is none of them */
/* Hour of the window's middle by the clock of the log's zone, from the beginning of the day that it
 * counts for: 25 an hour after its midnight. NaN where no time is stated. */
double view_local_hour(const struct efficiency_view *view, const struct means *means);

bool view_has_groups(const struct efficiency_view *view); /* more than one */
const char *view_group_name(const struct efficiency_view *view, size_t point);

/* Whether a point's storage passes what a steady window may hold: 2 % of its heat (our figure). */
bool view_drifts(const struct point *point);

/* Probability that chance makes any of the n residuals as large as that of fitted point k (without
 * itself); 1 where it cannot be told. (efficiency_outlier.c) */
double view_chance_of(const struct efficiency *e, size_t k);

/* Each returns false only when memory is short. */
bool view_numbers(const struct efficiency_view *view, struct document *doc, struct faults *faults);
bool view_doubts(const struct efficiency_view *view, struct document *doc, struct faults *faults);
bool view_outlier(const struct efficiency_view *view, struct document *doc, struct faults *faults);
bool view_groups(const struct efficiency_view *view, struct document *doc, struct faults *faults);
bool view_answers(const struct efficiency_view *view, struct document *doc, struct faults *faults);
bool view_wind_term(const struct efficiency_view *view, struct document *doc,
                    struct faults *faults);
bool view_surroundings(const struct efficiency_view *view, struct document *doc,
                       struct faults *faults);
bool view_days(const struct efficiency_view *view, struct document *doc, struct faults *faults);
bool view_conditions(const struct efficiency_view *view, struct document *doc,
                     struct faults *faults);
bool view_criteria(const struct efficiency_view *view, struct document *doc, struct faults *faults);
bool view_corrections(const struct efficiency_view *view, struct document *doc,
                      struct faults *faults);
bool view_storage(const struct efficiency_view *view, struct document *doc, struct faults *faults);
bool view_tables(const struct efficiency_view *view, struct document *doc, struct faults *faults);
bool view_says(const struct efficiency_view *view, struct document *doc, struct faults *faults);
bool view_other(const struct efficiency_view *view, struct document *doc, struct faults *faults);
bool view_worked(const struct efficiency_view *view, struct document *doc, struct faults *faults);
bool view_power_figure(const struct efficiency_view *view, struct document *doc,
                       struct faults *faults);
bool view_figures(const struct efficiency_view *view, struct document *doc, struct faults *faults);
bool view_idle(const struct efficiency_view *view, struct document *doc, struct faults *faults);
bool view_limits(const struct efficiency_view *view, struct document *doc, struct faults *faults);
bool view_budget(const struct efficiency_view *view, struct document *doc, struct faults *faults);

#endif
