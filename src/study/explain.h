/* Explain: which single property, were it other than stated, would make the prediction what was
 * measured.
 *
 * One cause at a time: the property is moved until prediction and measurement differ least, each
 * difference weighed with both uncertainties (those of the property itself left out). What remains
 * says how well that cause alone explains it.
 */
#ifndef STUDY_EXPLAIN_H
#define STUDY_EXPLAIN_H

#include "study/measured.h"
#include "study/predict.h"

#include <stdbool.h>
#include <stddef.h>

enum { CAUSES = 5 };

enum cause_verdict {
    CAUSE_STATED,     /* inside what is stated (95 %) */
    CAUSE_POSSIBLE,   /* another value that such a part can have */
    CAUSE_IMPOSSIBLE, /* only by a value that cannot exist */
    CAUSE_NOT_ENOUGH  /* no value of it explains the measurement */
};

struct cause {
    enum property property;
    double stated;    /* value as predicted with */
    double value;     /* that explains best */
    double low, high; /* 95 % interval of it; NaN at the end of what was searched */
    double left;      /* weighed sum of squares that remains */
    enum cause_verdict verdict;
    const char *kind; /* of a material table, whose range holds the value; NULL if none */
};

struct explanation {
    double apart;      /* weighed sum of squares of measured less predicted */
    double bound;      /* 95 % of agreeing pairs are below it */
    bool differ;       /* apart > bound */
    double left_bound; /* the same for what a cause leaves */
    size_t n;
    struct cause causes[CAUSES]; /* best first: possible, then what remains */
};

/* Returns: false with a data fault where a balance does not close, or covariances that cannot be
 * weighed with */
bool explain(const struct prediction *prediction, const struct predict_wish *wish,
             const struct measured *measured, struct explanation *out, struct faults *faults);

#endif
