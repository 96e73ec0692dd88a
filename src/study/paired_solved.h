/* What instruments that were swapped differ by: their calibrations are solved with the difference
 * itself.
 */
#ifndef STUDY_PAIRED_SOLVED_H
#define STUDY_PAIRED_SOLVED_H

#include "study/paired_job.h"

#include <stddef.h>

/* How many calibrations of swapped instruments there are. */
size_t paired_count_solved(const struct paired_job *job);

/* Which of them are solved: all, but none without weights, since nothing says how far they may be.
 * In:  job->effect, job->equal
 * Out: out->solved, out->n_solved, job->solved_by */
void paired_choose_solved(struct paired_job *job);

/* How well they are known in the end, into out->solved_cov. The map and out->scale_factor must be
 * filled. */
void paired_add_solved(struct paired_job *job);

#endif
