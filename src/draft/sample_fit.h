/* Whether a log fits into a sample: its rows, and its columns beside those of the first log.
 */
#ifndef DRAFT_SAMPLE_FIT_H
#define DRAFT_SAMPLE_FIT_H

#include "draft/sample.h"

/* Where the fields of a log stand in the first one's head, by their names; fields that are only its
 * own are passed over.
 * Out:     sample->column, n_fields
 *          lacks   the first column that the log has not, or more than once; head.n: none
 * Returns: false when out of memory, which the caller says */
bool sample_map_fields(struct sample *sample, const struct head_rows *head, size_t *lacks);

/* A later log must be written as the first is, and have its columns, in any order.
 * In:      first   path of the first log
 * Out:     sample->column, n_fields
 * Returns: false with an input or machine fault */
bool sample_suits_first(struct sample *sample, const struct dialect *dialect,
                        const struct head_rows *head, const struct excerpt *excerpt,
                        const char *first, struct faults *faults);

/* Says that most rows have more fields than there are names. Returns: false. */
bool sample_refuse_surplus(const struct sample *sample, const struct excerpt *excerpt,
                           const struct dialect *dialect, struct faults *faults);

/* Says that there is no row, or what stands where readings were looked for. Returns: false. */
bool sample_refuse_no_rows(const struct sample *sample, const struct excerpt *excerpt,
                           const struct head_rows *head, struct faults *faults);

#endif
