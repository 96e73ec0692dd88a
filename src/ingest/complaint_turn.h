/* Complaint about temperatures that go on in another unit.
 */
#ifndef INGEST_COMPLAINT_TURN_H
#define INGEST_COMPLAINT_TURN_H

#include "base/faults.h"
#include "ingest/account.h"
#include "ingest/log_plan.h"
#include "ingest/unit_turn.h"

#include <stdbool.h>

/* A sure turn is an input fault, since nobody can tell which half of the log is right; one that may
 * be is a warning. Returns: false with an input fault. */
bool complain_turn(const struct log_plan *plan, const struct log_account *account,
                   const struct unit_turn *turn, struct faults *faults);

#endif
