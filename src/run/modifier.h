/* The incidence angle modifier of a test: what each point off the normal yields beside the
 * curve of the points near it, the form fitted to these ratios, and everything uncertain about
 * both. Numbers only; the sentences and tables are run/modifier_document.c.
 *
 * Source: docs/methods.md, "Incidence angle modifier". */
#ifndef RUN_MODIFIER_H
#define RUN_MODIFIER_H

#include "base/faults.h"
#include "fit/modifier_fit.h"
#include "run/efficiency.h"
#include "run/error_parts.h"

/* Beyond this a degree of angle is worth a quarter of the beam, and edges and frames cast shadows:
 * no point is used. */
#define MODIFIER_MOST_RAD (85 * 0.017453292519943295)

enum { MODIFIER_COV = FIT_MAX_COEF * FIT_MAX_COEF };

/* A point off the normal. */
struct modifier_point {
    size_t index; /* among the given points */
    double u_all; /* of k_total, everything counted: for drawing */
    double k_beam; /* the beam's alone, with the fitted K of diffuse light */
};

/* Shift of the coefficients for + one standard uncertainty of a source; of one fresh each day the
 * root of the sum of squares. */
struct modifier_share {
    const struct error_source *row; /* borrowed */
    double d[FIT_MAX_COEF];
};

/* A point before the sun's noon and one after it, of one day, at nearly one angle. */
struct modifier_pair {
    size_t before, after; /* among `points` */
    double off; /* K before less K after, the form's own difference taken off */
    double u;   /* of it, from readings */
};

struct modifier {
    struct fit_modifier_fit fit;
    struct fit_modifier_point *used; /* n, with the uncertainty of readings */
    struct modifier_point *points;   /* n */
    size_t n;
    size_t beyond;      /* points past MODIFIER_MOST_RAD, left aside */
    size_t without;     /* points whose angle is not known, left aside */
    size_t without_planes; /* points off the normal whose projected angles are not, left aside */
    size_t share_unknown; /* points of either sort whose diffuse share is not known: counts as 0 */
    struct fit_modifier_near near; /* of the points near the normal: their mean */
    double near_least_rad, near_most_rad; /* their angles */
    double plane_least_rad[2], plane_most_rad[2]; /* two planes: along and across, without sign */
    double scale_factor, scale_dof;       /* of readings, by the scatter about the form */
    double reading[MODIFIER_COV];         /* readings of the points off the normal */
    double curve[MODIFIER_COV];           /* readings of the curve's points */
    double curve_dof;
    double common[MODIFIER_COV];          /* calibration, days, what the curve left out */
    struct modifier_share *shares;
    size_t n_shares;
    struct error_parts parts; /* of `common`, or of a joint fit all but the readings */
    struct modifier_pair *pairs;
    size_t n_pairs;
};

/* Marks the points whose angle is known to be beyond near_rad: left out of a curve, and oblique. */
void modifier_keep_apart(struct point *points, size_t n, double near_rad);

/* Fits the modifier.
 * In:      e        the curve of the points near the normal
 *          points   all n of them, those off the normal marked by modifier_keep_apart
 * Out:     out      to be emptied by modifier_free; on failure it holds nothing
 * Returns: false with a data fault (no point off the normal, an angle that tells nothing, a move
 *          under which a point cannot be formed) or a machine fault */
bool modifier_fit(struct modifier *out, const struct efficiency *e, const struct point *points,
                  size_t n, const struct point_setup *setup,
                  const struct error_registry *registry, enum fit_modifier_form form,
                  enum fit_scale scale, struct faults *faults);

void modifier_free(struct modifier *modifier);

/* K of the beam at an angle of which the projections are given too. */
struct fit_band modifier_at_angle(const struct modifier *modifier, const struct fit_angle *at);

/* K of the beam at an angle with everything uncertain about it. */
struct fit_band modifier_at(const struct modifier *modifier, double theta_rad);

/* K of light from the whole sky. */
struct fit_band modifier_diffuse(const struct modifier *modifier);

/* One coefficient with its interval. */
struct fit_band modifier_coef(const struct modifier *modifier, size_t j);

#endif
