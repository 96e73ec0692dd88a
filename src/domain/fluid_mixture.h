/* The glycols of the [fluid] section: which one is named, and how much of it is in.
 */
#ifndef DOMAIN_FLUID_MIXTURE_H
#define DOMAIN_FLUID_MIXTURE_H

#include "domain/fluid_choice.h"

/* Whether a fluid's name is that of a glycol with built-in figures; letter case is ignored. */
bool mixture_find(const char *name, enum glycol *glycol);

/* Fills `fluid` for the glycol that is named.
 * Returns: false with an input fault: no fraction, a fraction that does not say of what, or one
 *          outside the tables. */
bool mixture_choose(const struct fluid_choice *choice, enum glycol glycol, const char *file,
                    struct fluid *fluid, struct faults *faults);

/* Refuses 'fraction' and 'fraction error' where no built-in glycol is named.
 * In: what  flows instead: "water" */
bool mixture_refuse_keys(const struct fluid_choice *choice, const char *what, const char *file,
                         struct faults *faults);

#endif
