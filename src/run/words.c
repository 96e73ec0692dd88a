#include "run/words.h"

#include "base/numbers.h"
#include "base/text.h"

#include <inttypes.h>
#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

const char *words_pm(double value, double half, const char *unit, char *out, size_t size)
{
    const char *space = unit[0] == '\0' ? "" : " ";
    if (!isfinite(half) || !(half > 0)) {
        char text[32];
        number_significant(value, 4, text, sizeof text);
        snprintf(out, size, "%s%s%s", text, space, unit);
        return out;
    }
    int places = number_places(half);
    double step = pow(10, -places);
    if (places <= 0) {
        value = round(value / step) * step;
        half = round(half / step) * step;
        places = 0;
    }
    if (value == 0 || fabs(value) < step / 2)
        value = 0; /* never "-0" */
    snprintf(out, size, "%s%.*f ± %.*f%s%s", value < 0 ? "−" : "", places, fabs(value), places,
             half, space, unit);
    return out;
}

const char *words_percent(double share, double half, char *out, size_t size)
{
    return words_pm(100 * share, 100 * half, "%", out, size);
}

const char *words_fixed(double value, int places, char *out, size_t size)
{
    bool negative = value < -0.5 * pow(10, -places);
    snprintf(out, size, "%s%.*f", negative ? "−" : "", places, fabs(value));
    return out;
}

const char *words_signed(double value, int places, char *out, size_t size)
{
    char amount[WORDS_SIZE];
    words_fixed(value, places, amount, sizeof amount);
    snprintf(out, size, "%s%s", text_starts(amount, "−") ? "" : "+", amount);
    return out;
}

const char *words_volume(double m3, char *out, size_t size)
{
    bool litres = m3 >= 0.9995e-3;
    double amount = m3 * (litres ? 1e3 : 1e6);
    snprintf(out, size, amount < 999.5 ? "%.3g %s" : "%.0f %s", amount, litres ? "L" : "mL");
    return out;
}

const char *words_rough_percent(double share, char *out, size_t size)
{
    double percent = 100 * share;
    snprintf(out, size, percent < 99.5 ? "%.2g" : "%.0f", percent);
    return out;
}

const char *words_duration(double seconds, char *out, size_t size)
{
    long s = lround(seconds);
    if (s < 60 || (s < 300 && s % 60 != 0))
        snprintf(out, size, "%ld s", s);
    else if (s < 3600)
        snprintf(out, size, "%ld min", lround(seconds / 60));
    else if (lround(seconds / 60) % 60 == 0)
        snprintf(out, size, "%ld h", lround(seconds / 3600));
    else
        snprintf(out, size, "%ld h %ld min", lround(seconds / 60) / 60, lround(seconds / 60) % 60);
    return out;
}

const char *words_count(size_t n, const char *noun, char *out, size_t size)
{
    if (n == 0)
        snprintf(out, size, "no %s", noun);
    else
        snprintf(out, size, "%zu %s%s", n, noun, n == 1 ? "" : "s");
    return out;
}

const char *words_zone(const struct zone *zone, char *out, size_t size)
{
    int64_t utc_offset_s = zone == NULL ? 0 : zone->offset_s;
    long minutes = labs((long)(utc_offset_s / 60));
    const char *sign = utc_offset_s < 0 ? "−" : "+";
    if (zone != NULL && zone->name[0] != '\0')
        snprintf(out, size, "%s", zone->name);
    else if (minutes == 0)
        snprintf(out, size, "UTC");
    else if (minutes % 60 == 0)
        snprintf(out, size, "UTC%s%ld", sign, minutes / 60);
    else
        snprintf(out, size, "UTC%s%ld:%02ld", sign, minutes / 60, minutes % 60);
    return out;
}

const char *words_number(uint64_t n, char *out, size_t size)
{
    char digits[24];
    int length = snprintf(digits, sizeof digits, "%" PRIu64, n);
    size_t at = 0;
    for (int i = 0; i < length && at + 2 < size; i++) {
        if (i > 0 && (length - i) % 3 == 0)
            out[at++] = ',';
        out[at++] = digits[i];
    }
    out[at] = '\0';
    return out;
}

const char *words_id(const char *name, char *out, size_t size)
{
    size_t n = 0;
    for (const char *c = name; *c != '\0' && n + 1 < size; c++) {
        int letter = (*c >= 'a' && *c <= 'z') || (*c >= 'A' && *c <= 'Z');
        int other = (*c >= '0' && *c <= '9') || *c == '-' || *c == '_';
        out[n++] = letter || other ? *c : '_';
    }
    out[n] = '\0';
    return out;
}

const char *words_chance(double share, char *out, size_t size)
{
    if (share < 0.001)
        snprintf(out, size, "fewer than 1 of 1000");
    else if (share > 0.5)
        snprintf(out, size, "most");
    else
        snprintf(out, size, "1 of %.0f", 1 / share);
    return out;
}
