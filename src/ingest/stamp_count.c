#include "ingest/stamp_count.h"

#include "base/calendar.h"
#include "base/text.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* A fraction is kept as FRACTION_GROUPS numbers of GROUP_DIGITS digits, so that its product with
 * the steps of a unit can be carried from group to group without an overflow. */
enum { GROUP_DIGITS = 6, GROUP = 1000000, FRACTION_GROUPS = 3, WHOLE_DIGITS = 18 };

/* Spreadsheets keep a time as a share of the day, to a millisecond. */
#define DAY_STEPS (INT64_C(1000) * S_PER_DAY)
enum { DAY_STEP_US = 1000, SHARE_DIGITS = 5 };

/* 9999-12-31 is day 2958465 of the 1900 system; 253402300799 s is its last second by `date -u`,
 * and 2082844800 s lie between 1904 and 1970. */
static const struct stamp_count counts[] = {
    {"Unix time", "Unix time s", COUNT_FROM_UTC, 0, 253402300799, US_PER_S, 1, "1782051330"},
    {"Unix time ms", "Unix milliseconds", COUNT_FROM_UTC, 0, 253402300799999, 1000, 1,
     "1782051330000"},
    {"seconds since 1904", NULL, COUNT_FROM_UTC, -INT64_C(2082844800), 255485145599, US_PER_S, 1,
     "3864896130"},
    {"local Unix time", NULL, COUNT_FROM_LOCAL, 0, 253402300799, US_PER_S, 1, "1782051330"},
    {"milliseconds since start", "ms since start", COUNT_FROM_START, 0, 253402300799999, 1000, 1,
     "3600250"},
    {"seconds since start", "s since start", COUNT_FROM_START, 0, 253402300799, US_PER_S, 1,
     "3600.25"},
    {"minutes since start", "min since start", COUNT_FROM_START, 0, 4223376713, 60 * US_PER_S, 1,
     "60.004"},
    {"hours since start", "h since start", COUNT_FROM_START, 0, 70389528, 3600 * US_PER_S, 1,
     "1.00007"},
    {"Unix time us", "Unix microseconds", COUNT_FROM_UTC, 0, 253402300799999999, 1, 1,
     "1782051330000000"},
    {"spreadsheet days", "spreadsheet days 1900", COUNT_FROM_LOCAL, -INT64_C(25569) * S_PER_DAY,
     2958465, DAY_STEPS, DAY_STEP_US, "46194.5940972222"},
    {"spreadsheet days 1904", NULL, COUNT_FROM_LOCAL, -INT64_C(24107) * S_PER_DAY, 2957003,
     DAY_STEPS, DAY_STEP_US, "44732.5940972222"},
};
enum { COUNTS = sizeof counts / sizeof counts[0] };

const struct stamp_count *stamp_count_find(const char *text)
{
    for (size_t i = 0; i < COUNTS; i++)
        if (text_same_nocase(text, counts[i].words) ||
            (counts[i].also != NULL && text_same_nocase(text, counts[i].also)))
            return &counts[i];
    return NULL;
}

const char *stamp_count_list(char *out, size_t size)
{
    size_t n = 0;
    out[0] = '\0';
    for (size_t i = 0; i < COUNTS && n < size; i++)
        n += (size_t)snprintf(out + n, size - n, "%s'%s'", i == 0 ? "" : ", ", counts[i].words);
    return out;
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

/* "1.78203E+09": what is left of a count in a narrow column of a spreadsheet. */
static bool has_exponent(const char *at, const char *end)
{
    if (at == end || (*at != 'E' && *at != 'e'))
        return false;
    at++;
    if (at < end && (*at == '+' || *at == '-'))
        at++;
    const char *from = at;
    while (at < end && is_digit(*at))
        at++;
    return at == end && at > from;
}

/* Digits behind the decimal sign into groups. Out: n   how many they are */
static const char *take_groups(const char *at, const char *end, int64_t group[FRACTION_GROUPS],
                               int *n)
{
    int digits = 0;
    for (; at < end && is_digit(*at); at++, digits++)
        if (digits < GROUP_DIGITS * FRACTION_GROUPS)
            group[digits / GROUP_DIGITS] = group[digits / GROUP_DIGITS] * 10 + (*at - '0');
    for (int i = digits; i < GROUP_DIGITS * FRACTION_GROUPS; i++)
        group[i / GROUP_DIGITS] *= 10;
    *n = digits;
    return at;
}

/* The fraction in steps: its product with their number, from the last group on. */
static int64_t round_steps(const int64_t group[FRACTION_GROUPS], int64_t steps)
{
    int64_t carry = 0;
    int64_t rest = 0;
    for (int i = FRACTION_GROUPS - 1; i >= 0; i--) {
        int64_t product = steps * group[i] + carry;
        carry = product / GROUP;
        rest = product % GROUP; /* in the end the six digits below a step */
    }
    return carry + (rest >= GROUP / 2 ? 1 : 0);
}

/* What a fraction of n digits of a day comes to. The number that was rounded lay within half of
 * its last digit: with five digits within 0.44 s, so that there is one second at most. */
static int64_t share_us(const int64_t group[FRACTION_GROUPS], int n)
{
    int64_t us = round_steps(group, DAY_STEPS) * DAY_STEP_US;
    int64_t half_us = S_PER_DAY * US_PER_S / 2;
    int64_t second_us = (us + US_PER_S / 2) / US_PER_S * US_PER_S;
    for (int i = 0; i < n && half_us > 0; i++)
        half_us /= 10;
    bool may_be = llabs(second_us - us) <= half_us + DAY_STEP_US / 2;
    return n >= SHARE_DIGITS && may_be && second_us < S_PER_DAY * US_PER_S ? second_us : us;
}

static bool is_days(const struct stamp_count *count)
{
    return count->steps * count->step_us == S_PER_DAY * US_PER_S;
}

bool stamp_share_take(const char **at, const char *end, char decimal, int64_t *us)
{
    int64_t group[FRACTION_GROUPS] = {0};
    int n = 0;
    const char *c = *at;
    bool zero = c < end && *c == '0';
    c += zero;
    if (c < end && *c == decimal) {
        const char *from = c + 1;
        c = take_groups(from, end, group, &n);
        zero = c > from;
    }
    if (!zero || (c < end && (is_digit(*c) || *c == 'E' || *c == 'e')))
        return false;
    *us = share_us(group, n);
    *at = c;
    return true;
}

/* " 0.427083" behind whole days. Returns: STAMP_GOOD or STAMP_FORM */
static enum stamp_status read_apart(const char *at, const char *end, char decimal, int64_t *us)
{
    while (at < end && *at == ' ')
        at++;
    return stamp_share_take(&at, end, decimal, us) && at == end ? STAMP_GOOD : STAMP_FORM;
}

static bool is_nothing(const int64_t group[FRACTION_GROUPS])
{
    for (int i = 0; i < FRACTION_GROUPS; i++)
        if (group[i] != 0)
            return false;
    return true;
}

enum stamp_status stamp_count_read(const struct stamp_count *count, char decimal, const char *bytes,
                                   size_t n, int64_t *count_us)
{
    const char *end = bytes + n;
    const char *at = bytes;
    int64_t whole = 0, group[FRACTION_GROUPS] = {0}, apart_us = 0;
    int digits = 0;
    for (; at < end && is_digit(*at) && at - bytes < WHOLE_DIGITS; at++)
        whole = whole * 10 + (*at - '0');
    if (at == bytes)
        return STAMP_FORM;
    if (at < end && is_digit(*at))
        return STAMP_RANGE;
    if (at < end && *at == decimal) {
        const char *from = at + 1;
        at = take_groups(from, end, group, &digits);
        if (at == from)
            return STAMP_FORM;
    }
    bool apart = at < end && *at == ' ' && is_days(count) && is_nothing(group);
    if (apart && read_apart(at, end, decimal, &apart_us) != STAMP_GOOD)
        return STAMP_FORM;
    if (at != end && !apart)
        return has_exponent(at, end) ? STAMP_ROUNDED : STAMP_FORM;
    if (whole > count->most)
        return STAMP_RANGE;
    int64_t rest_us = is_days(count) ? share_us(group, digits)
                                     : round_steps(group, count->steps) * count->step_us;
    *count_us = whole * count->steps * count->step_us + rest_us + apart_us +
                count->epoch_s * US_PER_S;
    return STAMP_GOOD;
}
