/* What the parts of a modifier's document share. */
#ifndef RUN_MODIFIER_VIEW_H
#define RUN_MODIFIER_VIEW_H

#include "result/document.h"
#include "run/draws.h"
#include "run/modifier.h"
#include "run/rank_tables.h"
#include "run/reduction.h"

struct modifier_view {
    const struct reduction *reduction;
    const struct run_section *run;
    const struct efficiency *e;
    const struct point *points;
    const struct modifier *m;
    const struct draws *draws; /* NULL: not asked for */
    size_t draws_from;         /* where the modifier's numbers begin among them */
    char id[NAME_SIZE + 8]; /* of its numbers and tables */
    char figure[NAME_SIZE + 16];
    bool together;   /* with the curve in one fit: it rests on no points near the normal */
    double told_deg; /* the angle that the answer is given for: 50, or the last tested */
};

/* Each adds its part. Returns: false with a machine fault. */
bool modifier_numbers(const struct modifier_view *view, struct document *doc,
                      struct faults *faults);
bool modifier_sentences(const struct modifier_view *view, struct document *doc,
                        struct faults *faults);
bool modifier_tables(const struct modifier_view *view, struct document *doc, struct faults *faults);

/* Which source gives how much to K at one angle (modifier_budget.c): as stated by 'budget angle',
 * else the told one; of two planes across the tubes. */
struct fit_angle modifier_budget_angle(const struct modifier_view *view);
const char *modifier_angle_words(const struct modifier_view *view, char *out, size_t size);
size_t modifier_rank_most(const struct modifier *m); /* room that modifier_rank needs */
/* In: t  slopes of what is ranked against the modifier's coefficients. Returns: how many; largest
 * first */
size_t modifier_rank(const struct modifier_view *view, const double *t,
                     struct rank_source *sources);
bool modifier_sources(const struct modifier_view *view, struct document *doc,
                      struct faults *faults);
/* In: also  something else to be ranked beside K; NULL: nothing */
bool modifier_budget(const struct modifier_view *view, const struct ranked *also,
                     struct document *doc, struct faults *faults);
/* A number with its sources as parts. */
bool modifier_ranked_number(const char *id, const char *label, const char *symbol,
                            const struct ranked *ranked, double dof, struct document *doc,
                            struct faults *faults);

/* Angles of two planes, and what such a modifier adds instead. (modifier_planes.c) */
struct fit_angle planes_told(const struct modifier *m); /* across the tubes: 50 deg, or the last */
struct fit_angle planes_across(double angle_rad);
bool planes_numbers(const struct modifier_view *view, struct document *doc, struct faults *faults);
bool planes_answer(const struct modifier_view *view, struct document *doc, struct faults *faults);
bool planes_form(const struct modifier_view *view, struct document *doc, struct faults *faults);
bool planes_table(const struct modifier_view *view, struct document *doc, struct faults *faults);
bool planes_figure(const struct modifier_view *view, struct document *doc, struct faults *faults);

#endif
