/* Why a joint fit is refused, and what would let it be made. Each adds one data fault to the job's
 * list (a fit that ran short of memory a machine fault) and returns false.
 */
#ifndef RUN_JOINT_REFUSAL_H
#define RUN_JOINT_REFUSAL_H

#include "run/joint_job.h"

#include <stdbool.h>
#include <stddef.h>

/* Beside those of the points: between coefficients and points a residual is wanted.
 * In: n_coef  of curve and modifier together */
bool joint_too_few(const struct joint_job *job, size_t n_coef);

/* Angle and loss go hand in hand, or the angles tell nothing.
 * In: job  out->spread; of out->fit `widened` alone, NaN where no fit was begun */
bool joint_not_apart(const struct joint_job *job);

/* A fit that failed, in words: one of both above where that is the reason.
 * In: status  other than FIT_OK */
bool joint_refused(const struct joint_job *job, enum fit_status status);

#endif
