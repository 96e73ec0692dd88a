#include "ingest/error_codes.h"

#include <string.h>
#include <strings.h>

/* From manuals and public threads of users, not from logs of our own; where no family is named it
 * is common practice, no source. */
static const struct error_code codes[] = {
    {-9999.0, NULL, "a logger's mark for no reading"},
    {-999.0, NULL, "a logger's mark for no reading"},
    {-999.9, NULL, "a logger's mark for no reading"},
    {-99.99, NULL, "a logger's mark for no reading"},
    {-99999.0, NULL, "a logger's mark for no reading"},
    {9999.0, NULL, "a logger's mark for no reading"},
    {99999.0, NULL, "a logger's mark for no reading"},
    {6999.0, NULL, "a logger's mark for a reading beyond its range"},
    {7999.0, NULL, "a logger's mark for a reading beyond its range"},
    {-6999.0, NULL, "a logger's mark for a reading beyond its range"},
    {32767.0, NULL, "the end of a 16-bit converter"},
    {-32768.0, NULL, "the end of a 16-bit converter"},
    {3276.7, NULL, "the end of a 16-bit converter, in tenths"},
    {-3276.8, NULL, "the end of a 16-bit converter, in tenths"},
    {-127.0, "degC", "a digital thermometer that does not answer"},
    {-196.6, "degF", "a digital thermometer that does not answer"},
    {85.0, "degC", "a digital thermometer that has just been switched on"},
    {185.0, "degF", "a digital thermometer that has just been switched on"},
};

static const char *const words[] = {
    "NAN",       "NA",    "N/A",     "#N/A",    "NULL",  "NONE",  "-",      "--",
    "---",       "----",  "#DIV/0!", "#VALUE!", "#REF!", "#NUM!", "#NAME?", "#NULL!",
    "ERR",       "ERROR", "OL",      "-OL",     "OVER",  "UNDER", "OVF",    "OVERFLOW",
    "OVERRANGE", "INF",   "+INF",    "-INF",    "FAULT", "OPEN",
};

bool error_code_is_word(const char *bytes, size_t n)
{
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++)
        if (strlen(words[i]) == n && strncasecmp(words[i], bytes, n) == 0)
            return true;
    return false;
}

const struct error_code *error_code_find(double number, const struct unit *unit)
{
    for (size_t i = 0; i < sizeof codes / sizeof codes[0]; i++)
        if (codes[i].number == number &&
            (codes[i].unit == NULL || (unit != NULL && strcmp(codes[i].unit, unit->name) == 0)))
            return &codes[i];
    return NULL;
}

const struct error_code *error_codes(size_t *n)
{
    *n = sizeof codes / sizeof codes[0];
    return codes;
}

const char *const *error_code_words(size_t *n)
{
    *n = sizeof words / sizeof words[0];
    return words;
}
