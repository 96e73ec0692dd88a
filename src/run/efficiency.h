/* The efficiency curve of a collector: points and everything uncertain about them -> coefficients
 * with a covariance kept in parts, and the budget that says where it comes from. Numbers only; the
 * sentences and tables are run/efficiency_document.h.
 *
 * Source: docs/methods.md, "The efficiency curve".
 */
#ifndef RUN_EFFICIENCY_H
#define RUN_EFFICIENCY_H

#include "base/faults.h"
#include "domain/error_source.h"
#include "fit/bands.h"
#include "fit/curve.h"
#include "fit/diagnostics.h"
#include "fit/scale.h"
#include "fit/sessions.h"
#include "point/point.h"
#include "run/design.h"

#include <stdbool.h>
#include <stddef.h>

enum { EFFICIENCY_COEFS = FIT_FORM_MAX_COEF, EFFICIENCY_COV = EFFICIENCY_COEFS * EFFICIENCY_COEFS };

/* Scatter that is taken as known, not seen in the points: some of them are only planned, and lie on
 * the curve. */
struct efficiency_held {
    double scale_factor; /* on variances of readings; where none is stated: the variance itself */
    double scale_dof;
    double days_extra; /* variance of a day, on top of what is claimed */
    double days_dof;
};

struct efficiency_request {
    const char *form; /* "automatic" or a name of fit/form.h */
    enum fit_scale scale;
    double drop_below; /* t-ratio of a2 (of a3) under which its term is left out */
    const struct efficiency_held *held; /* borrowed while it fits; NULL: the points' own scatter */
};

/* One error source's share: the shift of each coefficient for + one standard uncertainty, found by
 * moving the source, forming every point anew and fitting again. Session rows have one unknown a
 * session: d is then the root of the sum of squares, without a sign. */
struct efficiency_share {
    const struct error_source *row; /* borrowed */
    double d[EFFICIENCY_COEFS];
};

/* The same of a session row in one session, with its sign. */
struct efficiency_day {
    const struct error_source *row; /* borrowed */
    int64_t session;
    double d[EFFICIENCY_COEFS];
};

/* What became of the second-order term. */
enum term_verdict {
    TERM_NOT_TRIED, /* form fixed by the description, or no slope either */
    TERM_UNSEEN,    /* 'automatic' could only hold a straight line: a usual bend is counted */
    TERM_KEPT,      /* t-ratio 3 or more */
    TERM_INDICATED, /* between the limit and 3: kept, said */
    TERM_NEGATIVE,  /* physically impossible: straight line taken */
    TERM_TOO_BENT,  /* beyond what any collector does: straight line taken */
    TERM_WEAK,      /* t-ratio under the limit: straight line taken */
    TERM_DAYS_ONLY  /* a3 alone: between the days, not within them; no wind term taken */
};

/* What is carried beside the registry's sources, one shift of the coefficients each. */
enum { EFFICIENCY_EXTRAS = 4 };
struct efficiency_extra {
    const char *id, *label, *cure;
    bool session; /* independent scatter of days, without a sign; otherwise what a form left out */
    double d[EFFICIENCY_COEFS];
};

/* Whether the days differ by more than the windows of one day. */
struct efficiency_days {
    bool told; /* some temperature was measured on two days, and some day repeated one */
    struct fit_sessions seen;
    double claimed; /* variance of a day's error that the registry's session rows hold */
    double extra;   /* variance counted on top of it; 0 where nothing calls for it */
    double d[EFFICIENCY_COEFS]; /* standard uncertainty of each coefficient by `extra` */
};

/* Upper limit of a2, W/(m2 K2), counted when the points cannot show any: flat plates in the
 * published sets that were read lie between 0.007 and 0.029; 0.02 is our own figure for most of
 * them. */
#define EFFICIENCY_USUAL_A2 0.02

/* No collector bends more, W/(m2 K2). A black plate that radiates freely: its loss 4 sigma T^3, T
 * half way between plate and air, grows by 6 sigma T^2 a kelvin, 0.035 at 320 K; natural
 * convection, which grows with the third root of the difference, adds less than that. Both and half
 * as much again: our own figure. */
#define EFFICIENCY_MOST_A2 0.1

/* Days count as different when their scatter is larger than chance makes it in this share of tests.
 */
#define EFFICIENCY_DAYS_CHANCE 0.05

#define EFFICIENCY_DRAW_WIND_M_S 3.0 /* at which curves are compared */

struct efficiency_term {
    enum term_verdict verdict;
    double value; /* a2 or a3 */
    double u;     /* from reading and session errors */
    double ratio; /* value / u */
    double upper; /* one-sided 95 % upper limit carried when the term is left out */
    bool in_days;           /* a3 alone: it could be found within the days, each with a level of its
                               own */
    double in_days_value, in_days_u;
};

struct efficiency {
    const struct fit_form *form;
    struct fit_curve curve;
    struct fit_linear plain; /* ordinary unweighted least squares, for comparison */
    struct fit_case *cases;  /* n diagnostics, in the order of `used` */
    struct fit_point *used;  /* n fitted points (those not left out) */
    size_t *index;           /* n: which of the given points each is */
    size_t n;
    double *swapped; /* n: what instruments that changed places make of each residual, as the
                        scatter's fit has it; NULL where none did */
    struct design design;
    struct efficiency_term term; /* a2 */
    struct efficiency_term wind; /* a3 */
    struct efficiency_days days;
    struct efficiency_extra extras[EFFICIENCY_EXTRAS];
    size_t n_extras;
    double wind_left_out; /* J/(m3 K), root mean square of the a3 that is carried; 0: none is */
    double sky_left_out;  /* W/(m2 K), the same for the sky */
    double draw_wind; /* wind of the drawn curve less its origin: 3 m/s where that was tested, else
                         the mean of the points; 0 without a wind term */
    enum fit_scale scale;
    struct fit_scatter seen;           /* how readings scatter, the days' errors as stated */
    double scale_factor;               /* on variances of readings */
    double scale_dof;
    double reading[EFFICIENCY_COV];     /* scale factor applied */
    double session[EFFICIENCY_COV];
    double calibration[EFFICIENCY_COV];
    double curvature[EFFICIENCY_COV];   /* curvature left out; zero unless the term was dropped */
    double d_curvature[EFFICIENCY_COEFS];
    double total[EFFICIENCY_COV];
    double common[EFFICIENCY_COV];      /* calibration + curvature + wind and sky left out */
    struct efficiency_share *shares;
    size_t n_shares;
    struct efficiency_day *daily; /* session rows, session by session */
    size_t n_daily;
    struct fit_new_window new_window; /* variance of one more window, its readings as the mean's */
    double session_dof;
};

/* Whether a wind term rests on what sets whole days apart, and may be an instrument that differed:
 * within the days it is less than half of it, and surely so (our own figures). */
bool efficiency_wind_is_of_days(const struct efficiency_term *wind);

/* Fits.
 * In:      points, n   all points, left-out ones marked
 *          request     what the description asks for
 * Out:     out         emptied by efficiency_free; on failure it holds nothing
 * Returns: false with a data fault (too few points or temperatures for the form: found, needed) or a
 *          machine fault */
bool efficiency_fit(struct efficiency *out, const struct point *points, size_t n,
                    const struct point_setup *setup, const struct error_registry *registry,
                    const struct efficiency_request *request, struct faults *faults);

void efficiency_free(struct efficiency *efficiency);

/* The parts for fit/bands.h; borrowed from the struct. */
struct fit_parts efficiency_parts(const struct efficiency *efficiency);

/* The combined uncertainty of one coefficient. Out: u, effective degrees of freedom. */
void efficiency_combined(const struct efficiency *efficiency, size_t coef, double *u, double *dof);

#endif
