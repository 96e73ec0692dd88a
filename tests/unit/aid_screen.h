/* Aid: screening of a whole segment at once, row by row, as src/ingest/screen.h defines it. The
 * plain implementation that the one by blocks is held against.
 */
#ifndef AID_SCREEN_H
#define AID_SCREEN_H

#include "ingest/log_plan.h"

#include <stddef.h>
#include <stdint.h>

/* In:      most_before   highest reading before the segment; NaN: there is none
 *          step          smallest step of the segments before, INFINITY at first
 * In/Out:  value, flag   NaN and a flag where a reading was set aside
 *          step          of this one too */
void aid_screen_segment(const struct log_column *column, const int64_t *time_us, size_t n,
                        double most_before, double *step, double *value, uint8_t *flag);

#endif
