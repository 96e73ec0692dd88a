/* Everything that might be added to what is measured or first planned, each tried: windows at some
 * inlet temperature or angle, all once more, checks, cures, better instruments.
 *
 * Source: docs/methods.md, "What to measure next".
 */
#ifndef STUDY_PLAN_CANDIDATES_H
#define STUDY_PLAN_CANDIDATES_H

#include "base/faults.h"
#include "study/plan_trial.h"

#include <stdbool.h>
#include <stddef.h>

enum plan_kind {
    PLAN_INLET,  /* windows at one inlet temperature, on one day */
    PLAN_ANGLE,  /* windows off the normal, on one day */
    PLAN_AGAIN,  /* all temperatures once more, on as many further days */
    PLAN_CHECK,  /* a check of the instruments */
    PLAN_CURE,   /* what makes one error source smaller */
    PLAN_BETTER, /* a better instrument */
    PLAN_KINDS
};

/* Water that scalds within seconds from here on: our own figure, on the safe side. */
#define PLAN_HOT_degC 50.0
#define PLAN_HOT_K 25.0 /* above air that is not known */
extern const char plan_hot_words[], plan_turned_words[];

enum { PLAN_WHAT = 320, PLAN_BRIEF = 100 };

struct plan_candidate {
    enum plan_kind kind;
    char what[PLAN_WHAT];    /* "4 more windows with the water entering at 62 degC" */
    char brief[PLAN_BRIEF];  /* for a figure: "4 windows at 62 °C" */
    const char *caution;     /* what can hurt; "" if nothing that a test does not hold anyway */
    char assumed[PLAN_WHAT]; /* what is taken of it; "" if nothing */
    double inlet_degC;       /* NaN if none is proposed */
    double rise_K;           /* the same above the air; NaN */
    size_t windows;          /* more than there are */
    enum channel channel;    /* of the instrument; CH_COUNT if of none */
    struct plan_said then;
    double gain; /* share of the half-width that goes */
};

/* Tries every addition to the base, and keeps those that give the answer.
 * In:      plan  with its base and what that says
 * Out:     plan->items, n  best first; of equal ones in the order of their words
 * Returns: false with a machine fault */
bool plan_try_all(struct plan *plan, struct faults *faults);

#endif
