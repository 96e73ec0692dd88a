/* What moves a pair: the readings of both windows, the calibrations and the sessions' errors of
 * both tests, and the wind and sky between them. Source: as study/paired.h.
 */
#ifndef STUDY_PAIRED_ERRORS_H
#define STUDY_PAIRED_ERRORS_H

#include "study/paired_job.h"

#include <stdbool.h>

/* Each pair's own variance: readings of both windows, less what the same readings put into both.
 * Out:     job->own; job->equal, and own then 1
 * Returns: false with a fault */
bool paired_own(struct paired_job *job);

/* Shifts of every pair by every calibration and session row.
 * Out:     job->effect
 * Returns: false with a fault */
bool paired_effects(struct paired_job *job);

/* Wind and sky that differed from pair to pair and are in no term: variance of the coefficients
 * added to out->common. The map must be filled. */
void paired_surroundings(struct paired_job *job);

#endif
