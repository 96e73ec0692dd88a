/* Rows of the error registry that are no instrument's: pipes, area, heat capacity and fluid.
 */
#ifndef DOMAIN_ERROR_REST_H
#define DOMAIN_ERROR_REST_H

#include "domain/collector.h"
#include "domain/error_source.h"
#include "domain/fluid_choice.h"
#include "domain/instrument.h"
#include "domain/pipe.h"

/* What a description's errors are expanded from and into (domain/error_expand.h); all borrowed. */
struct expansion {
    const struct instrument *instruments;
    size_t n;
    struct error_registry *registry;
    const char *file; /* of the description, for warnings */
    struct faults *faults;
};

/* Each adds its rows to the registry. Returns: false when memory is short. */

/* "pipe inlet.loss", W/K; none for a pipe that loses nothing. */
bool expand_pipe(const struct expansion *expansion, const struct pipe *pipe);

/* "area", relative. */
bool expand_area(const struct expansion *expansion, const struct collector *collector);

/* "capacity", J/(m2 K); none where no heat capacity is known. */
bool expand_capacity(const struct expansion *expansion, const struct collector *collector);

/* "fluid.cp" and "fluid.density", relative, and "fluid.fraction" of a built-in glycol, points; no
 * density where the flow is weighed.
 * In:      choice, fluid  as stated and as chosen by fluid_choose */
bool expand_fluid(const struct expansion *expansion, const struct fluid_choice *choice,
                  const struct fluid *fluid);

#endif
