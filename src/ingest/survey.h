/* Survey: what must be known of a log's files before they are streamed: whether each can be opened
 * and has the plan's columns, their order in time, the usual step between rows, and how fine the
 * readings are.
 */
#ifndef INGEST_SURVEY_H
#define INGEST_SURVEY_H

#include "base/faults.h"
#include "ingest/row_form.h"
#include "ingest/steps.h"
#include "ingest/turns.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Rows whose stamps are looked at; rows whose readings are, where some column hardly moves. */
enum { SURVEY_ROWS = 1000, SURVEY_STEPS_ROWS = 8000 };

/* Out:     files     n_files of the plan by first readable stamp (a file without one among its first
 *                    1000 rows goes last); files of the same stamp, and all that count since the
 *                    start, stay in the plan's order
 * Returns: false with every fault of every file's opening and header (its units too), or a file
 *          listed twice. */
bool survey_order(const struct row_form *form, struct turns_file *files, struct faults *faults);

/* In:      files     as survey_order left them
 * Out:     step_us   median step of the first 1000 rows whose stamps rise, of all files in the order
 *                    of time; 0 with fewer than two
 *          steps     of the same rows; of up to SURVEY_STEPS_ROWS until they are known
 * Returns: false with the faults of ingest/turns.h, or a machine fault. */
bool survey_step(const struct row_form *form, struct turns_file *files, int64_t *step_us,
                 struct steps *steps, struct faults *faults);

#endif
