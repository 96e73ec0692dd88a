/* Checked: what a check run (run/check.h) found of one error of an instrument. It stands in place
 * of the data sheet: the reading is corrected by `value` before anything is formed from it, and the
 * registry of error sources holds what the check leaves over.
 */
#ifndef DOMAIN_CHECKED_H
#define DOMAIN_CHECKED_H

#include <stdbool.h>

enum { CHECKED_TEXT = 120 };

struct checked {
    bool given;
    double value; /* offset: how much it reads too high, SI (K); gain: true value / reading */
    double u; /* standard uncertainty of the finding itself: scatter of the check's readings; 0 for
                 the instrument to which the others were referred */
    double dof;               /* of u; INFINITY if it is not from scatter */
    double u_stays;           /* standard uncertainty of what the check cannot tell */
    char by[CHECKED_TEXT];    /* "zero check 'dark'" */
    char stays[CHECKED_TEXT]; /* where u_stays comes from */
};

#endif
