/* The errors that are fresh for each point: the means' own noise and the registry's reading rows.
 * One list for who adds them up (point_make) and for who draws them (a Monte Carlo).
 */
#ifndef POINT_READING_ERRORS_H
#define POINT_READING_ERRORS_H

#include "domain/error_source.h"
#include "domain/means.h"

#include <stdbool.h>
#include <stddef.h>

/* How many places the list of a point has; not each place holds an error. */
size_t reading_errors_count(const struct error_registry *registry);

/* The error at one place: each channel's mean and the drift moved by their own noise (the mean and
 * the slope of equally spaced readings err independently), then the reading rows.
 * In:      k      < reading_errors_count
 * Out:     row    targets, rectangular and dof count; u is of this point's mean: an error of one
 *                 sample is averaged down
 * Returns: false if there is none at this place */
bool reading_error(const struct means *means, const struct error_registry *registry, size_t k,
                   struct error_source *row);

#endif
