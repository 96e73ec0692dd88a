/* The interval of a modifier found a second way: every error drawn, every point formed anew, the
 * curve of the points near the normal and the modifier of the others fitted again in turn.
 */
#ifndef RUN_MODIFIER_DRAWS_H
#define RUN_MODIFIER_DRAWS_H

#include "run/draws.h"
#include "run/modifier.h"

/* Draws.
 * In:      m, e, points, setup, registry  as modifier_fit took and made them
 * Out:     out      of: the modifier's numbers
 * Returns: false with a machine fault (out of memory) */
bool modifier_draw(const struct modifier *m, const struct efficiency *e, const struct point *points,
                   const struct point_setup *setup, const struct error_registry *registry,
                   const struct draws_request *request, struct draws *out, struct faults *faults);

/* A modifier's numbers, for whoever draws it together with something else: its coefficients, K 50
 * deg off the normal (of two planes: along the tubes, and across them), K of light from the whole
 * sky. */
void modifier_draws_numbers(const struct modifier *m, struct draws *out);

/* Their places behind the first of them. */
size_t modifier_draws_k_50(const struct modifier *m);
size_t modifier_draws_k_d(const struct modifier *m);
size_t modifier_draws_count(const struct modifier *m);

/* What a fit of one point costs, in points formed. */
size_t modifier_draws_cost(enum fit_modifier_form form);

/* Their values. In: m  with the coefficients drawn. Out: numbers  as many */
void modifier_draws_values(const struct fit_modifier *m, double *numbers);

#endif
