#include "ingest/row_field.h"

#include "base/number_spelled.h"
#include "base/numbers.h"
#include "ingest/error_codes.h"
#include "ingest/row_time.h"

#include <math.h>
#include <string.h>

static bool is_blank(char c)
{
    return c == ' ' || c == '\t';
}

static bool is_word_marker(const struct row_form *form, const char *bytes, size_t n)
{
    for (size_t i = 0; i < form->n_words; i++)
        if (strlen(form->word_marker[i]) == n && strncasecmp(form->word_marker[i], bytes, n) == 0)
            return true;
    return false;
}

static bool is_number_marker(const struct row_form *form, double number)
{
    for (size_t i = 0; i < form->n_numbers; i++)
        if (form->number_marker[i] == number)
            return true;
    return false;
}

enum reading_flag row_value(const struct row_form *form, size_t k, double number, double *value_si)
{
    const struct row_scale *to = &form->scale[k];
    const struct log_column *column = &form->plan->columns[k];
    const struct channel_row *row = channel_row(column->channel);
    double value = column->signal != NULL ? log_column_si(column, number) : row_scaled(to, number);
    bool in_range = column->signal != NULL ? value >= row->least_si && value <= row->most_si
                                           : row_in_range(to, value);
    bool missing = form->n_numbers > 0 && is_number_marker(form, number);
    *value_si = in_range && !missing ? value : NAN;
    if (missing)
        return FLAG_MISSING;
    if (in_range)
        return FLAG_GOOD;
    return error_code_find(number, column->unit) != NULL ? FLAG_ERROR_CODE : FLAG_OUT_OF_RANGE;
}

enum reading_flag row_reading(const struct row_form *form, size_t k, const char *bytes, size_t n,
                              double *value_si)
{
    double number;
    if (n > 0 && number_read(bytes, n, form->plan->decimal, &number))
        return row_value(form, k, number, value_si);
    *value_si = NAN;
    if (n == 0 || is_word_marker(form, bytes, n) || error_code_is_word(bytes, n))
        return FLAG_MISSING;
    if (number_spelled(bytes, n, form->plan->decimal, &number))
        return row_value(form, k, number, value_si);
    return FLAG_NOT_A_NUMBER;
}

void row_take_field(void *state, size_t number, const char *bytes, size_t n)
{
    struct rows *rows = state;
    if (number >= rows->header.n) {
        rows->surplus = rows->surplus || n > 0;
        return;
    }
    int role = rows->role[number];
    if (role == ROLE_NONE)
        return;
    /* libcsv cuts blanks off a bare field only. */
    for (; n > 0 && is_blank(bytes[0]); n--)
        bytes++;
    while (n > 0 && is_blank(bytes[n - 1]))
        n--;
    if (role <= ROLE_TIME)
        row_stamp(rows, (size_t)(ROLE_TIME - role), bytes, n);
    else
        rows->flag[role] =
            (uint8_t)row_reading(rows->form, (size_t)role, bytes, n, &rows->value_si[role]);
}
