/* Whole: what no reading shows by itself, but a channel's readings as a whole: a pile below the
 * highest one (ingest/ceiling.h), thousands read as ones (ingest/thousand.h). No row is set aside
 * for it: the account holds it, for who says it.
 */
#ifndef INGEST_WHOLE_H
#define INGEST_WHOLE_H

#include "ingest/account.h"
#include "ingest/ceiling.h"
#include "ingest/log_plan.h"
#include "ingest/thousand.h"

struct whole {
    const struct log_plan *plan;       /* borrowed */
    struct ceiling ceiling[CH_LOGGED]; /* by column of the plan */
    struct thousand thousand[CH_LOGGED];
};

void whole_init(struct whole *whole, const struct log_plan *plan);

/* The next block, after it was counted in the account. Its rows have places. */
void whole_take(struct whole *whole, const struct block *block, const struct log_account *account);

/* After the last block: fills the account's ceiling and thousand. */
void whole_tell(const struct whole *whole, struct log_account *account);

#endif
