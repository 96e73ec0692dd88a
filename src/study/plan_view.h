/* A plan on its way into a document: what its parts look at. */
#ifndef STUDY_PLAN_VIEW_H
#define STUDY_PLAN_VIEW_H

#include "result/document.h"
#include "study/plan_find.h"

#include <stdbool.h>
#include <stddef.h>

/* What stands on the first screen: the best, but of windows at some inlet no more than two. */
#define PLAN_SHOWN_GAIN 0.02
#define PLAN_LISTED_GAIN 0.005 /* in the report; additions.csv holds all */
enum { PLAN_SHOWN = 5, PLAN_INLETS_SHOWN = 2 };

struct plan_view {
    const struct plan *plan;
    const struct reduction *reduction;
    bool before; /* no readings were looked at */
    bool asked;  /* because that was asked for, not because there are none */
};

/* The best additions in their order. Out: shown  PLAN_SHOWN at most. Returns: how many */
size_t plan_shown(const struct plan_view *view, const struct plan_candidate *shown[PLAN_SHOWN]);

/* A half-width for people: "± 1.9 percentage points", "± 0.31 W/(m² K)". size >= 2 * WORDS_SIZE.
 * Returns: out */
const char *plan_half_words(const struct plan_view *view, double half, char *out, size_t size);
/* "1.9", as many places as the half-width as it is needs. size >= WORDS_SIZE. Returns: out */
const char *plan_bare_words(const struct plan_view *view, double amount, char *out, size_t size);
/* The same of an amount without a sign: a difference. */
const char *plan_amount_words(const struct plan_view *view, double amount, char *out, size_t size);
/* "the efficiency with the water 30 K above the air at 1000 W/m² (T* 0.030)". Returns: out */
const char *plan_answer_words(const struct plan_view *view, char *out, size_t size);
/* What half-widths are printed in: percentage points, or W/(m² K). */
double plan_scale(const struct plan_view *view);
const char *plan_unit(const struct plan_view *view);

/* Each returns false only when memory is short. */
bool plan_doubts(const struct plan_view *view, struct document *doc, struct faults *faults);
bool plan_numbers(const struct plan_view *view, struct document *doc, struct faults *faults);
bool plan_answers(const struct plan_view *view, struct document *doc, struct faults *faults);
bool plan_details(const struct plan_view *view, struct document *doc, struct faults *faults);
bool plan_tables(const struct plan_view *view, struct document *doc, struct faults *faults);
bool plan_figure(const struct plan_view *view, struct document *doc, struct faults *faults);

#endif
