#include "ingest/whole.h"

#include "ingest/screen_limits.h"

#include <string.h>

void whole_init(struct whole *whole, const struct log_plan *plan)
{
    memset(whole, 0, sizeof *whole);
    whole->plan = plan;
    for (size_t k = 0; k < plan->n_columns; k++)
        thousand_init(&whole->thousand[k], &plan->columns[k]);
}

void whole_take(struct whole *whole, const struct block *block, const struct log_account *account)
{
    for (size_t k = 0; k < whole->plan->n_columns; k++) {
        enum channel channel = whole->plan->columns[k].channel;
        const double *value = block->value[channel];
        if (screen_limits(channel)->plateau_si > 0.0)
            ceiling_take(&whole->ceiling[k], value, block->n);
        thousand_take(&whole->thousand[k], value, block->place, block->n,
                      account->channels[channel].most_si);
    }
}

void whole_tell(const struct whole *whole, struct log_account *account)
{
    for (size_t k = 0; k < whole->plan->n_columns; k++) {
        struct log_channel *channel = &account->channels[whole->plan->columns[k].channel];
        const struct thousand *thousand = &whole->thousand[k];
        if (!ceiling_found(&whole->ceiling[k], &channel->ceiling.least_si, &channel->ceiling.share))
            channel->ceiling.share = 0.0;
        if (thousand_found(thousand, channel->most_si))
            channel->thousand = (struct log_thousand){
                .rows = thousand->rows,
                .first = {thousand->first.file, (long)thousand->first.line},
                .before = thousand->first_before,
                .number = thousand->first_number,
            };
    }
}
