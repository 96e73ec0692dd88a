#include "point/points_compared.h"

#include "base/numbers.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { PLACES_MOST = 15 };

void points_compared_init(struct points_compared *compared)
{
    memset(compared, 0, sizeof *compared);
    compared->si = compared->typed = NAN;
}

static int places_of(const char *cell, char decimal)
{
    const char *sign = strchr(cell, decimal);
    if (strpbrk(cell, "eE") != NULL)
        return -1;
    size_t places = sign == NULL ? 0 : strspn(sign + 1, "0123456789");
    return places < PLACES_MOST ? (int)places : PLACES_MOST;
}

void points_compared_take(struct points_compared *compared, const char *cell, char decimal,
                          double value, const struct unit *unit, bool difference)
{
    points_compared_init(compared);
    if (unit == NULL)
        return; /* its head is refused */
    compared->unit = unit;
    compared->difference = difference;
    compared->typed = value;
    compared->si = difference ? unit_difference(unit, value) : unit_absolute(unit, value);
    compared->places = places_of(cell, decimal);
    if (compared->places >= 0)
        compared->rounding = unit_difference(unit, 0.5 * pow(10, -compared->places));
}

bool points_compared_agrees(const struct points_compared *compared, double worked, double tolerance)
{
    return isnan(compared->si) || fabs(compared->si - worked) <= tolerance + compared->rounding;
}

const char *points_compared_typed(const struct points_compared *compared, char *out, size_t size)
{
    char number[32];
    if (compared->places < 0 || fabs(compared->typed) >= 1e9)
        number_exact(compared->typed, number, sizeof number);
    else
        snprintf(number, sizeof number, "%.*f", compared->places, compared->typed);
    snprintf(out, size, "%s %s", number, compared->unit->name);
    return out;
}

const char *points_compared_worked(const struct points_compared *compared, double worked, char *out,
                                   size_t size)
{
    char number[32];
    const struct unit *unit = compared->unit;
    double value = (worked - (compared->difference ? 0 : unit->offset)) / unit->scale;
    snprintf(out, size, "%s %s", number_significant(value, 4, number, sizeof number), unit->name);
    return out;
}
