/* A curve that can be read back: from results.json of an efficiency run to coefficients with their
 * covariance, so that compare, yield and predict can go on from it.
 *
 * HOW A RUN STORES IT (the contract of results.json, docs/results.md)
 *   numbers   the coefficients come first of all numbers "curve.*", in the order of the form, each
 * with its parts; others of that name (another area, a ratio) may follow covariance  of the
 * coefficients (document_covariance): the total, all kinds of error together; results.json names
 * them beside the matrix parts     one part id = one error source. Over the coefficients the parts
 * of one id are the shift of each coefficient for +1 standard uncertainty of that source: fully
 * correlated. The ids "reading" and "session" are the exception: independent scatter without a
 * sign, whose covariance is what the total leaves after the other parts. facts     group "curve",
 * added by curve_state
 */
#ifndef RESULT_CURVE_H
#define RESULT_CURVE_H

#include "base/faults.h"
#include "result/document.h"

#include <stdbool.h>
#include <stddef.h>

enum { CURVE_COEFFICIENTS = 6, CURVE_WORD = 64 };

/* A source that moves all coefficients together. */
struct curve_part {
    char *id;
    char *label;
    double shift[CURVE_COEFFICIENTS]; /* of each coefficient for +1 standard uncertainty */
};

struct curve {
    char *title;
    char form[CURVE_WORD];        /* of fit/form.h: "mean", "line", "second order with wind" */
    char area_basis[CURVE_WORD];  /* "gross", "aperture" */
    char temperature[CURVE_WORD]; /* "mean" or "inlet": which fluid temperature x is formed with */
    size_t n;                     /* coefficients */
    char ids[CURVE_COEFFICIENTS][CURVE_WORD];
    double coefficients[CURVE_COEFFICIENTS];
    double covariance[CURVE_COEFFICIENTS * CURVE_COEFFICIENTS]; /* total, n x n row-major */
    double scatter[CURVE_COEFFICIENTS * CURVE_COEFFICIENTS];    /* total less the parts below */
    double dof;     /* of the total, smallest of the coefficients; INFINITY allowed */
    double area_m2; /* of the basis */
    double x_low;   /* range of the reduced temperature that was tested (m2 K/W) */
    double x_high;
    double g_low_W_m2; /* range of irradiance that was tested */
    double g_high_W_m2;
    bool with_wind;         /* a term a3; the next three are 0 without one */
    double wind_origin_m_s; /* from which the wind is counted: a1 holds there */
    double wind_low_m_s;    /* range of the wind that was tested */
    double wind_high_m_s;
    struct curve_part *parts;
    size_t n_parts;
};

void curve_init(struct curve *curve);
void curve_free(struct curve *curve);

/* Adds the facts of group "curve" to a document (form, basis, temperature, area and ranges; n,
 * coefficients, covariance and parts are not looked at). */
bool curve_state(const struct curve *curve, struct document *doc, struct faults *faults);

/* Reads a curve out of the bytes of a results.json.
 * In:      name   of the file, for messages
 * Out:     curve  initialised by the caller; filled, the caller frees; empty on failure
 * Returns: false with an input fault: not JSON (line and column given), another schema or a later
 *          version, no curve in it (a run that gave no result), fields missing or not finite, a
 *          covariance that is not symmetric or has a negative variance. */
bool curve_read(struct curve *curve, const char *name, const char *bytes, size_t n_bytes,
                struct faults *faults);

#endif
