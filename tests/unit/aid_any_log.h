/* Aid for tests of ingest: invented logs as loggers write them, with faults here and there, and
 * what was read of them compared bit by bit.
 */
#ifndef AID_ANY_LOG_H
#define AID_ANY_LOG_H

#include "base/text.h"
#include "ingest/reader.h"
#include "tests/unit/aid_ingest.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { AID_LOG_FORMS = 5 };

/* A log as loggers write it, with faults: rarely or often. */
struct aid_log_form {
    const char *name;
    const char *header;
    const char *format;
    const char *second; /* second column of the time, or NULL */
    const char *missing;
    char separator;
    char decimal;
    const char *end;
    int step_s;
    size_t rows;
    size_t fault_in; /* one row in so many has a fault; 0: none */
};

extern const struct aid_log_form aid_log_forms[AID_LOG_FORMS];

/* Writes the log of a form to folder/a.csv, each line begun with `mark`, and reads it into a sink.
 * The same form gives the same log but for the mark.
 * Returns: what log_read does */
bool aid_read_log(const struct aid_log_form *form, const char *mark, const char *folder,
                  unsigned threads, struct sink *sink, struct log_account *account,
                  struct faults *faults);

/* The test fails unless both are the same to the last bit. */
void aid_same_rows(const char *name, const struct kept *a, const struct kept *b);
void aid_same_accounts(const char *name, const struct log_account *a,
                       const struct log_account *b);

/* A number from 0 to n - 1. */
size_t aid_below(uint64_t *state, size_t n);

/* Appends a number of up to `most` digits, with a sign and a decimal sign where they fall. */
void aid_put_number(struct text *out, uint64_t *state, char decimal, size_t most);

#endif
