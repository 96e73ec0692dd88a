#include "draft/cell.h"

#include "base/number_spelled.h"
#include "base/numbers.h"
#include "base/text.h"
#include "ingest/stamp_names.h"

#include <string.h>

/* Common practice of loggers, firmware and spreadsheets, no source. */
static const char *const markers[] = {
    "NAN",  "NA",    "N/A",   "#N/A",  "#NV",   "#DIV/0!", "#VALUE!", "#REF!",
    "ERR",  "ERROR", "OL",    "OVER",  "OVF",   "INF",     "-INF",    "+INF",
    "-",    "--",    "---",   "----",  "-----", "NULL",    "NIL",     "NONE",
    "OPEN", "SHORT", "FAULT", "UNDER", "-NAN",  "?",       "****",    "#####",
};

/* No stamp is longer; a longer one is two fields that were not parted. */
enum { STAMP_MOST = 48 };

static size_t digits(const char *at)
{
    return strspn(at, "0123456789");
}

static bool looks_like_date(const char *cell)
{
    size_t n = digits(cell);
    const char sign = cell[n];
    if (n == 0 || n > 4 || sign == '\0' || strchr("/.- ", sign) == NULL)
        return false;
    const char *month = cell + n + 1;
    size_t m = digits(month);
    size_t name = strspn(month, "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz");
    bool is_month = (m >= 1 && m <= 2 && sign != ' ') || name >= 3;
    m = name >= 3 ? name : m;
    return is_month && month[m] == sign && digits(month + m + 1) >= 1;
}

/* A month's name beside two numbers, the day and the year: "14. Juni 2026", "mar. 16 juin 2026". */
static bool names_a_month(const char *cell, size_t n)
{
    const char *end = cell + n, *colon = memchr(cell, ':', n);
    size_t numbers = 0;
    bool month = false;
    end = colon != NULL ? colon : end;
    for (const char *at = cell; at < end;) {
        const char *from = at;
        month = stamp_month_take(&at, end) != MONTH_UNKNOWN || month;
        size_t n_digits = at == from ? digits(at) : 0;
        numbers += n_digits > 0;
        at += at > from ? 0 : n_digits > 0 ? n_digits : 1;
    }
    return month && numbers >= 2;
}

/* At the start or after a date. */
static bool has_hour(const char *cell)
{
    const char *colon = strchr(cell, ':');
    return colon != NULL && colon > cell && digits(colon - 1) == 1 && digits(colon + 1) >= 2;
}

static bool is_marker(const char *string)
{
    for (size_t i = 0; i < sizeof markers / sizeof markers[0]; i++)
        if (text_same_nocase(markers[i], string))
            return true;
    return false;
}

bool cell_missing_unsaid(const char *string)
{
    return string[0] == '\0' || text_same_nocase(string, "NAN") || text_same_nocase(string, "NA");
}

enum cell_kind cell_kind(const char *string, size_t n, char decimal)
{
    double number;
    if (n == 0)
        return CELL_EMPTY;
    if (number_read(string, n, decimal, &number) || number_spelled(string, n, decimal, &number))
        return CELL_NUMBER;
    if (n >= STAMP_MOST || strpbrk(string, ";\"|\t") != NULL)
        return CELL_TEXT;
    if (looks_like_date(string) || names_a_month(string, n))
        return has_hour(string) ? CELL_STAMP : CELL_DATE;
    if (has_hour(string) && digits(string) >= 1)
        return CELL_HOUR;
    return is_marker(string) ? CELL_MISSING : CELL_TEXT;
}

bool cell_has_thousands(const char *string, char decimal)
{
    char thousands = decimal == '.' ? ',' : '.';
    const char *at = string + (string[0] == '-' || string[0] == '+');
    size_t n = digits(at);
    size_t groups = 0;
    if (n == 0 || n > 3)
        return false;
    for (at += n; *at == thousands && digits(at + 1) == 3; groups++)
        at += 4;
    if (*at == decimal)
        at += 1 + digits(at + 1);
    return groups > 0 && *at == '\0';
}
