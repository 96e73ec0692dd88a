/* A prediction on its way into a document: what its parts look at. */
#ifndef STUDY_PREDICT_VIEW_H
#define STUDY_PREDICT_VIEW_H

#include "result/document.h"
#include "study/explain.h"
#include "study/measured.h"
#include "study/predict.h"

#include <stdbool.h>
#include <stddef.h>

struct predict_change {
    const char *text; /* as given; borrowed */
    struct prediction prediction;
};

struct predict_view {
    const struct reduction *reduction;
    const struct conditions *conditions;
    const struct predict_wish *wish;
    const struct measured *measured;
    const struct prediction *prediction;
    const struct explanation *explanation; /* NULL without a measured curve */
    const struct predict_change *changes;
    size_t n_changes;
};

/* Temperatures at which an idle plate's materials are judged, upper 95 % end: hottest spot of the
 * absorber, hottest cover. */
struct predict_idle {
    double built_degC, built_u_K; /* mean of the absorber, by the construction */
    double built_safe_degC;       /* upper end and hottest spot */
    double seen_degC; /* measured one brought to the same conditions, upper end; NaN: none */
    double seen_safe_degC;
    double cover_safe_degC;
    double worst_degC; /* the hottest of all that speak */
};
void predict_idle_of(const struct predict_view *view, const struct prediction *prediction,
                     struct predict_idle *out);

/* Efficiency that was measured at a compared state, with its standard uncertainty. */
double predict_measured_eta(const struct predict_view *view, size_t state, double *u);

const char *predict_symbol(const char *symbol); /* "η₀" */
const char *predict_unit(const char *symbol);   /* "W/(m² K)" */
double predict_half(double u);                  /* half of a 95 % interval */

/* Each returns false only when memory is short. */
bool predict_numbers(const struct predict_view *view, struct document *doc, struct faults *faults);
bool predict_answers_text(const struct predict_view *view, struct document *doc,
                          struct faults *faults);
bool predict_tables(const struct predict_view *view, struct document *doc, struct faults *faults);
bool predict_compare(const struct predict_view *view, struct document *doc, struct faults *faults);
bool predict_limits(const struct predict_view *view, struct document *doc, struct faults *faults);
bool predict_losses_figure(const struct predict_view *view, struct document *doc,
                           struct faults *faults);
/* What was asked comes first: these sentences before all others. */
bool predict_changes_text(const struct predict_view *view, struct document *doc,
                          struct faults *faults);
bool predict_changes(const struct predict_view *view, struct document *doc, struct faults *faults);

/* Columns of a table for people: "id", "label", unit, digits < 0 for a text. */
struct predict_column {
    const char *id, *label, *unit;
    int digits;
};
struct table *predict_table(struct document *doc, const char *id, const char *title,
                            const char *note, const struct predict_column *columns, size_t n,
                            bool report, struct faults *faults);

#endif
