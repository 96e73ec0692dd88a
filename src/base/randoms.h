/* Random numbers that any machine and any number of threads repeats: MT19937 (GSL), reseeded for
 * each block of 1,000 draws from (seed, block number), never from the environment.
 */
#ifndef BASE_RANDOMS_H
#define BASE_RANDOMS_H

#include "base/faults.h"

#include <stdbool.h>
#include <stdint.h>

enum { RANDOMS_BLOCK = 1000 };

struct randoms {
    void *state; /* gsl_rng; owned */
};

bool randoms_init(struct randoms *randoms, struct faults *faults);
void randoms_free(struct randoms *randoms);

/* Starts block `block` of the stream `seed`. */
void randoms_seed(struct randoms *randoms, uint64_t seed, uint64_t block);

double randoms_uniform(struct randoms *randoms); /* [0, 1) */
double randoms_normal(struct randoms *randoms);  /* mean 0, standard deviation 1 */
double randoms_flat(struct randoms *randoms);    /* rectangular, the same mean and deviation */

/* Student's t of dof degrees of freedom (not necessarily whole) is randoms_normal times this:
 * sqrt(dof / chi-square); 1 where dof is infinite. */
double randoms_t_factor(struct randoms *randoms, double dof);

#endif
