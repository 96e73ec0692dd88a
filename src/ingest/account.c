#include "ingest/account.h"

#include "ingest/span.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

const char *row_refusal_words(enum row_refusal refusal)
{
    static const char *const words[ROW_REFUSALS] = {
        [ROW_BAD_LINE] = "line that cannot be read",
        [ROW_BAD_STAMP] = "stamp that cannot be read",
        [ROW_SKIPPED] = "stamp in the hour that the clock skips",
        [ROW_UNSET] = "stamp of a clock that was not set",
        [ROW_NO_START] = "count from a start that is not stated",
        [ROW_PART] = "under the first stamp of a stretch, where some may be missing",
        [ROW_DUPLICATE] = "same stamp as the row before",
        [ROW_BACKWARD] = "stamp before that of the row before",
        [ROW_STRAY] = "stamp ahead of the rows around it",
        [ROW_OVERLAP] = "the same row as in an earlier file",
        [ROW_DIFFERS] = "other readings than an earlier file has at that stamp",
        [ROW_HEADER_AGAIN] = "header row repeated",
        [ROW_HEAD] = "units or the like below the header row",
        [ROW_SUMMARY] = "summary without a stamp below the readings",
        [ROW_CUT] = "line on which the file was cut off",
        [ROW_FILLED] = "line with NUL or 0xFF bytes, as a power cut leaves them",
    };
    return words[refusal];
}

bool row_refusal_is_plain(enum row_refusal refusal)
{
    return refusal == ROW_HEADER_AGAIN || refusal == ROW_HEAD || refusal == ROW_SUMMARY ||
           refusal == ROW_OVERLAP || refusal == ROW_PART;
}

void log_account_init(struct log_account *account)
{
    memset(account, 0, sizeof *account);
    for (size_t i = 0; i < CH_LOGGED; i++) {
        account->channels[i].least_si = NAN;
        account->channels[i].most_si = NAN;
    }
}

void log_account_free(struct log_account *account)
{
    for (size_t i = 0; i < account->n_files; i++)
        free(account->files[i].path);
    free(account->files);
    log_account_init(account);
}

static bool is_known(const struct log_levels *levels, double si)
{
    for (size_t k = 0; k < levels->n; k++)
        if (levels->si[k] == si)
            return true;
    return false;
}

/* One good reading. Nearly all columns have too many levels after some rows, or too many changes,
 * and cost nothing then. */
static void add_level(struct log_levels *levels, double si)
{
    levels->rows++;
    if (levels->n > 0 && si == levels->last_si)
        return;
    levels->changes += levels->n > 0;
    levels->last_si = si;
    if (levels->changes == LOG_LEVELS_CHANGES &&
        levels->rows < (uint64_t)LOG_LEVELS_ROWS * LOG_LEVELS_CHANGES) {
        levels->n = LOG_LEVELS_KEPT + 1;
        return;
    }
    if (is_known(levels, si))
        return;
    if (levels->n < LOG_LEVELS_KEPT)
        levels->si[levels->n] = si;
    levels->n++;
}

static void add_levels(struct log_levels *levels, const double *value, const uint8_t *flag,
                       size_t n)
{
    for (size_t i = 0; i < n && levels->n <= LOG_LEVELS_KEPT; i++)
        if (flag == NULL || flag[i] == FLAG_GOOD)
            add_level(levels, value[i]);
}

static void widen_range(struct log_channel *channel, double least_si, double most_si)
{
    if (!(channel->least_si <= least_si)) /* true for the first one, which is compared with NaN */
        channel->least_si = least_si;
    if (!(channel->most_si >= most_si))
        channel->most_si = most_si;
}

/* Of a block where not all are good. */
static void count_mixed(struct log_channel *channel, const double *value, const uint8_t *flag,
                        size_t n)
{
    for (size_t i = 0; i < n; i++) {
        channel->count[flag[i]]++;
        if (flag[i] == FLAG_GOOD)
            widen_range(channel, value[i], value[i]);
    }
}

static void count_good(struct log_channel *channel, const double *value, size_t n)
{
    struct span_tally range = {.least = INFINITY, .most = -INFINITY};
    channel->count[FLAG_GOOD] += n;
    span_range(value, n, &range);
    widen_range(channel, range.least, range.most);
}

void log_account_count(struct log_account *account, const struct block *block,
                       const enum channel *list, size_t n)
{
    for (size_t k = 0; k < n; k++) {
        struct log_channel *channel = &account->channels[list[k]];
        const double *value = block->value[list[k]];
        bool good = block->all_good[list[k]];
        const uint8_t *flag = block->flag[list[k]];
        if (good)
            count_good(channel, value, block->n);
        else
            count_mixed(channel, value, flag, block->n);
        add_levels(&channel->levels, value, good ? NULL : flag, block->n);
    }
}
