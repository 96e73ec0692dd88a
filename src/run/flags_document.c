/* What became of each channel's readings: for the first screen of a check; of a reduction where it is
 * bad. */
#include "base/files.h"
#include "run/reduction_document.h"
#include "run/words.h"

#include <stdio.h>

/* Fewer missing readings than one in so many are nothing to act on. */
enum { NUMBER_SIZE = 32, PREFIX_SIZE = 80, MISSING_SHARE = 100 };

static void say_flag(const struct log_account *account, const struct log_channel *channel, int flag,
                     struct text *out)
{
    char number[NUMBER_SIZE];
    const struct log_place *first = &channel->first[flag];
    words_number(channel->count[flag], number, sizeof number);
    text_addf(out, "%s%s %s", out->length > 0 ? ", " : "", number,
              flag_word((enum reading_flag)flag));
    if (flag != FLAG_GOOD && first->line > 0)
        text_addf(out, " (first %s:%ld)", path_base(account->files[first->file].path), first->line);
}

/* Something is to be done about it. */
static bool is_doubtful(const struct log_account *account, const struct log_channel *channel)
{
    uint64_t good = channel->count[FLAG_GOOD];
    uint64_t missing = channel->count[FLAG_MISSING];
    return good + missing < account->rows_used || missing * MISSING_SHARE > account->rows_used;
}

static bool channel_finding(const struct log_account *account, enum channel ch,
                            struct document *doc, struct faults *faults)
{
    const struct log_channel *channel = &account->channels[ch];
    struct text text = {0};
    for (int flag = 0; flag < FLAG_COUNT; flag++)
        if (channel->count[flag] > 0)
            say_flag(account, channel, flag, &text);
    bool good = text_ok(&text, faults) &&
                document_finding(doc, FINDING_READINGS, is_doubtful(account, channel), faults,
                                 "%s ('%s'): %s.", channel_row(ch)->word, channel->column,
                                 text_string(&text));
    text_free(&text);
    return good;
}

/* All readings of the channel are good. */
static bool is_whole(const struct log_account *account, const struct log_channel *channel)
{
    return channel->count[FLAG_GOOD] == account->rows_used;
}

static bool whole_finding(const struct log_set *logs, size_t i, struct document *doc,
                          struct faults *faults)
{
    const struct log_account *account = &logs->account[i];
    char number[NUMBER_SIZE], prefix[PREFIX_SIZE];
    struct text text = {0};
    for (int ch = 0; ch < CH_LOGGED; ch++)
        if (account->channels[ch].present && is_whole(account, &account->channels[ch]))
            text_addf(&text, "%s%s", text.length > 0 ? ", " : "",
                      channel_row((enum channel)ch)->word);
    words_number(account->rows_used, number, sizeof number);
    log_set_prefix(logs, i, prefix, sizeof prefix);
    bool good = text_ok(&text, faults) &&
                (text.length == 0 ||
                 document_finding(doc, FINDING_READINGS, false, faults, "%sAll %s good: %s.",
                                  prefix, number, text_string(&text)));
    text_free(&text);
    return good;
}

bool reduction_flags(const struct reduction *r, struct document *doc, struct faults *faults)
{
    if (!r->from_log)
        return true;
    for (int ch = 0; ch < CH_LOGGED; ch++) {
        const struct log_account *account = log_set_account(&r->logs, (enum channel)ch);
        if (account->channels[ch].present && !is_whole(account, &account->channels[ch]) &&
            !channel_finding(account, (enum channel)ch, doc, faults))
            return false;
    }
    for (size_t i = 0; i < r->logs.n; i++)
        if (!whole_finding(&r->logs, i, doc, faults))
            return false;
    return reduction_joined(r, doc, faults);
}

/* What can be wrong is mostly the unit: then the few readings that happen to be possible are wrong as
 * well. */
bool reduction_mostly_impossible(const struct reduction *r, struct document *doc,
                                 struct faults *faults)
{
    for (int ch = 0; r->from_log && ch < CH_LOGGED; ch++) {
        const struct log_account *account = log_set_account(&r->logs, (enum channel)ch);
        const struct log_channel *channel = &account->channels[ch];
        char bad[NUMBER_SIZE], all[NUMBER_SIZE];
        if (!channel->present || 2 * channel->count[FLAG_OUT_OF_RANGE] <= account->rows_used)
            continue;
        words_number(channel->count[FLAG_OUT_OF_RANGE], bad, sizeof bad);
        words_number(account->rows_used, all, sizeof all);
        if (!document_finding(doc, FINDING_ANSWER, true, faults,
                              "%s of %s readings of '%s' (%s) cannot be, and were not used: the "
                              "others are hardly right either. Look at its 'unit', 'gain' and 'add'.",
                              bad, all, channel->column, channel_row((enum channel)ch)->label))
            return false;
    }
    return true;
}
