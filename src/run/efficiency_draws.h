/* The interval of a curve found a second way: every error drawn, every point formed anew through
 * point_evaluate, the curve fitted again, thousands of times. It sees what the linear result
 * cannot: errors that are rectangular, effects that are not straight, few degrees of freedom.
 */
#ifndef RUN_EFFICIENCY_DRAWS_H
#define RUN_EFFICIENCY_DRAWS_H

#include "run/draws.h"
#include "run/efficiency.h"
#include "run/point_drawer.h"

/* Draws.
 * In:      e, points, setup, registry  as efficiency_fit took and made them
 *          g_W_m2   irradiance at which the curve is looked at
 * Out:     out      of: its coefficients, and the curve at DRAWS_PLACES
 * Returns: false with a machine fault (out of memory) */
bool efficiency_draw(const struct efficiency *e, const struct point *points,
                     const struct point_setup *setup, const struct error_registry *registry,
                     const struct draws_request *request, double g_W_m2, struct draws *out,
                     struct faults *faults);

/* The curve's points, to be drawn; point_drawer_init is to follow. */
struct point_drawer efficiency_drawer(const struct efficiency *e, const struct point *points,
                                      const struct point_setup *setup, bool equal_weights);

/* The curve's part of a Monte Carlo, for whoever draws it together with something else: chooses the
 * places where it is looked at; adds its coefficients; adds the curve at these places.
 * Out: terms  of the form at each place */
void efficiency_draws_places(const struct efficiency *e, double g_W_m2, struct draws *out,
                             double terms[DRAWS_PLACES][EFFICIENCY_COEFS]);
void efficiency_draws_coefs(const struct efficiency *e, struct draws *out);
void efficiency_draws_at(const struct efficiency *e, struct draws *out,
                         double terms[DRAWS_PLACES][EFFICIENCY_COEFS]);

#endif
