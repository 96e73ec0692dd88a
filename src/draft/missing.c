#include "draft/missing.h"

#include "base/numbers.h"

#include <stdio.h>
#include <string.h>

/* Longer lists make a line that no description holds. */
enum { LIST_MAX = 60 };

static bool is_listed(const struct text *list, const char *word)
{
    size_t n = strlen(word);
    const char *at = text_string(list);
    for (at = strstr(at, word); at != NULL; at = strstr(at + 1, word))
        if ((at == text_string(list) || at[-1] == ' ') && (at[n] == ',' || at[n] == '\0'))
            return true;
    return false;
}

static bool is_used(const struct draft_log *log, size_t column)
{
    const struct guess *guess = &log->columns[column].guess;
    return guess->kind == GUESS_CHANNEL && log->chosen[guess->channel] == column;
}

static bool is_reading_elsewhere(const struct draft_log *log, double value)
{
    for (size_t i = 0; i < log->sample.head.n; i++) {
        if (!is_used(log, i))
            continue;
        for (size_t row = 0; row < log->sample.n_rows; row++)
            if (log->value[i * log->sample.n_rows + row] == value)
                return true;
    }
    return false;
}

static void list(const char *word, size_t times, struct text *value, struct text *remark)
{
    if (is_listed(value, word) || value->length + strlen(word) > LIST_MAX)
        return;
    text_addf(value, ", %s", word);
    text_addf(remark, "%s%s stands %zu time%s", remark->length > 0 ? ", " : "", word, times,
              times == 1 ? "" : "s");
}

void missing_add(const struct draft_log *log, size_t column, struct text *value,
                 struct text *remark)
{
    const struct measure *measure = &log->columns[column].measure;
    char word[32];
    if (!is_used(log, column))
        return;
    if (measure->marked > 0 && strchr(measure->marker, '#') == NULL &&
        strchr(measure->marker, ',') == NULL)
        list(measure->marker, measure->marked, value, remark);
    for (size_t i = 0; i < measure->n_codes; i++) {
        if (is_reading_elsewhere(log, measure->code[i].value))
            continue;
        list(number_exact(measure->code[i].value, word, sizeof word), measure->code[i].n, value,
             remark);
    }
}
