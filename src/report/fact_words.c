#include "report/fact_words.h"

#include "base/numbers.h"
#include "result/typography.h"

#include <string.h>

bool fact_silent(const struct fact *fact)
{
    return text_same(fact->value, "not stated");
}

/* "2.050" says more than is known of 2.05. */
static void cut_zeros(char *ascii)
{
    size_t n = strlen(ascii);
    if (strchr(ascii, '.') == NULL || strchr(ascii, 'e') != NULL)
        return;
    while (n > 0 && ascii[n - 1] == '0')
        ascii[--n] = '\0';
    if (n > 0 && ascii[n - 1] == '.')
        ascii[n - 1] = '\0';
}

const char *fact_words(const struct fact *fact, char buffer[FACT_SIZE])
{
    size_t n = strlen(fact->key);
    double value;
    char ascii[32];
    if (n == 0 || fact->key[n - 1] != ')' || 
        !number_read(fact->value, strlen(fact->value), '.', &value))
        return fact->value;
    number_significant(value, 4, ascii, sizeof ascii);
    cut_zeros(ascii);
    return typo_number(ascii, buffer, FACT_SIZE);
}

void fact_silent_keys(const struct document *doc, const char *group, struct text *out)
{
    for (size_t i = 0; i < doc->n_facts; i++)
        if (text_same(doc->facts[i].group, group) && fact_silent(&doc->facts[i]))
            text_addf(out, "%s%s", out->length > 0 ? ", " : "", doc->facts[i].key);
}
