/* Ranked sources as tables: each of them for programs, the largest for people.
 */
#ifndef RUN_RANK_TABLES_H
#define RUN_RANK_TABLES_H

#include "result/document.h"
#include "run/efficiency_rank.h"

#define RANK_SHARE_LEAST 0.01 /* of the variance: smaller ones are said or drawn as one */

/* What is ranked: a coefficient, a curve, a modifier. */
struct ranked {
    const char *word; /* in the CSV: "eta0", "curve" */
    char people[200]; /* "η₀", "η at T* 0.031 m² K/W" */
    const char *unit; /* for people */
    double value, u, half_95;
    struct rank_source *sources; /* largest first; room is the caller's */
    size_t n;
};

/* Share of a source in the variance of what is ranked. */
double ranked_share(const struct ranked *ranked, size_t i);

/* Every source of n ranked numbers, written to the file of the table `id`.
 * Returns: false with a machine fault; so do all that follow */
bool ranked_file(const char *id, const char *note, const struct ranked *ranked, size_t n,
                 struct document *doc, struct faults *faults);

/* The three largest of each with the cheapest cure, for the report. */
bool ranked_named(const char *id, const char *title, const char *note, enum table_place place,
                  const struct ranked *ranked, size_t n, struct document *doc,
                  struct faults *faults);

#endif
