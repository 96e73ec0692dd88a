#include "ingest/account.h"

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
        [ROW_PART] = "first rows of a stretch, of an unknown part of their stamp",
        [ROW_DUPLICATE] = "same stamp as the row before",
        [ROW_BACKWARD] = "stamp before that of the row before",
        [ROW_HEADER_AGAIN] = "header row repeated",
    };
    return words[refusal];
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
