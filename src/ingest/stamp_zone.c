#include "ingest/stamp_zone.h"

#include "base/calendar.h"
#include "base/zone.h"

#include <stddef.h>
#include <string.h>
#include <strings.h>

static const struct {
    char name[6];
    short minutes; /* local minus UTC */
} abbreviations[] = {
    {"Z", 0},      {"UTC", 0},    {"GMT", 0},    {"UT", 0},     {"WET", 0},    {"WEST", 60},
    {"BST", 60},   {"CET", 60},   {"CEST", 120}, {"MEZ", 60},   {"MESZ", 120}, {"MET", 60},
    {"MEST", 120}, {"EET", 120},  {"EEST", 180}, {"WAT", 60},   {"CAT", 120},  {"SAST", 120},
    {"EAT", 180},  {"IDT", 180},  {"PKT", 300},  {"WIB", 420},  {"HKT", 480},  {"WITA", 480},
    {"AWST", 480}, {"JST", 540},  {"WIT", 540},  {"ACST", 570}, {"AEST", 600}, {"ChST", 600},
    {"ACDT", 630}, {"AEDT", 660}, {"NZST", 720}, {"NZDT", 780}, {"NDT", -150}, {"ADT", -180},
    {"NST", -210}, {"EDT", -240}, {"EST", -300}, {"MDT", -360}, {"MST", -420}, {"PDT", -420},
    {"AKDT", -480}, {"AKST", -540}, {"HDT", -540}, {"HST", -600},
};
enum { ABBREVIATIONS = sizeof abbreviations / sizeof abbreviations[0] };

static bool is_digit(const char *at, const char *end)
{
    return at < end && *at >= '0' && *at <= '9';
}

static bool is_letter(const char *at, const char *end)
{
    return at < end && ((*at >= 'a' && *at <= 'z') || (*at >= 'A' && *at <= 'Z'));
}

/* "+02:00", "+0200", "+02", "+2". */
static bool take_offset(const char **at, const char *end, int64_t *offset_s)
{
    const char *c = *at;
    bool west = c < end && *c == '-';
    if (c == end || (*c != '+' && *c != '-') || !is_digit(++c, end))
        return false;
    int hours = 0, minutes = 0, n = 0;
    for (; n < 2 && is_digit(c, end); n++)
        hours = 10 * hours + (*c++ - '0');
    bool colon = c < end && *c == ':';
    if (colon || (n == 2 && is_digit(c, end))) {
        c += colon;
        if (!is_digit(c, end) || !is_digit(c + 1, end))
            return false;
        minutes = 10 * (c[0] - '0') + (c[1] - '0');
        c += 2;
    }
    int64_t s = hours * S_PER_H + minutes * S_PER_MIN;
    if (minutes > 59 || s > ZONE_MOST_S || is_digit(c, end))
        return false;
    *offset_s = west ? -s : s;
    *at = c;
    return true;
}

/* Returns: false if it is none of them. */
static bool find_word(const char *word, size_t n, int64_t *offset_s)
{
    for (size_t i = 0; i < ABBREVIATIONS; i++)
        if (strlen(abbreviations[i].name) == n &&
            strncasecmp(abbreviations[i].name, word, n) == 0) {
            *offset_s = abbreviations[i].minutes * S_PER_MIN;
            return true;
        }
    return false;
}

/* Behind UTC and GMT an offset may stand. */
static bool may_be_followed(const char *word, size_t n)
{
    return n == 3 && (strncasecmp(word, "UTC", n) == 0 || strncasecmp(word, "GMT", n) == 0);
}

enum stamp_zone stamp_zone_take(const char **at, const char *end, int64_t *offset_s)
{
    const char *word = *at;
    while (is_letter(*at, end))
        (*at)++;
    size_t n = (size_t)(*at - word);
    if (n == 0)
        return take_offset(at, end, offset_s) ? STAMP_ZONE_GOOD : STAMP_ZONE_FORM;
    if (!find_word(word, n, offset_s))
        return n > 1 ? STAMP_ZONE_UNKNOWN : STAMP_ZONE_FORM;
    const char *sign = *at;
    while (sign < end && *sign == ' ')
        sign++;
    if (may_be_followed(word, n) && sign < end && (*sign == '+' || *sign == '-')) {
        *at = sign;
        return take_offset(at, end, offset_s) ? STAMP_ZONE_GOOD : STAMP_ZONE_FORM;
    }
    return STAMP_ZONE_GOOD;
}
