#include "base/randoms.h"

#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>

bool randoms_init(struct randoms *randoms, struct faults *faults)
{
    randoms->state = gsl_rng_alloc(gsl_rng_mt19937);
    return randoms->state != NULL ? true : fault_memory(faults);
}

void randoms_free(struct randoms *randoms)
{
    gsl_rng_free(randoms->state);
    randoms->state = NULL;
}

/* Neighbouring (seed, block) pairs must not give neighbouring states: mixed by the finaliser of
 * SplitMix64 (Steele, Lea, Flood 2014). MT19937 takes 32 bits. */
static uint64_t mix(uint64_t z)
{
    z += UINT64_C(0x9E3779B97F4A7C15);
    z = (z ^ (z >> 30)) * UINT64_C(0xBF58476D1CE4E5B9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94D049BB133111EB);
    return z ^ (z >> 31);
}

void randoms_seed(struct randoms *randoms, uint64_t seed, uint64_t block)
{
    uint64_t z = mix(mix(seed) + block);
    unsigned long start = (unsigned long)(z & 0xFFFFFFFFU);
    gsl_rng_set(randoms->state, start == 0 ? 1UL : start); /* GSL reads 0 as its own default */
}

double randoms_uniform(struct randoms *randoms)
{
    return gsl_rng_uniform(randoms->state);
}

double randoms_normal(struct randoms *randoms)
{
    return gsl_ran_gaussian_ziggurat(randoms->state, 1.0);
}

double randoms_flat(struct randoms *randoms)
{
    return sqrt(12.0) * (gsl_rng_uniform(randoms->state) - 0.5);
}

double randoms_t_factor(struct randoms *randoms, double dof)
{
    return isinf(dof) ? 1.0 : sqrt(dof / gsl_ran_chisq(randoms->state, dof));
}
