#include "base/units.h"

#include "base/units_spelling.h"

#include <string.h>
#include <strings.h>

static const struct {
    const char *name;
    const char *si;
    const char *examples;
} dimensions[DIM_COUNT] = {
    [DIM_NONE] = {"plain number", "1", "a plain number or %"},
    [DIM_TEMPERATURE] = {"temperature", "degC", "degC, K or degF"},
    [DIM_IRRADIANCE] = {"irradiance", "W/m2", "W/m2, kW/m2 or BTU/(h ft2)"},
    [DIM_VOLUME_FLOW] = {"volume flow", "m3/s", "L/min, L/h, m3/h or gal/min"},
    [DIM_MASS_FLOW] = {"mass flow", "kg/s", "kg/s, kg/h or g/s"},
    [DIM_SPEED] = {"speed", "m/s", "m/s, km/h or mile/h"},
    [DIM_LENGTH] = {"length", "m", "m, cm, mm or ft"},
    [DIM_AREA] = {"area", "m2", "m2, cm2 or ft2"},
    [DIM_VOLUME] = {"volume", "m3", "L, m3 or gal"},
    [DIM_MASS] = {"mass", "kg", "kg, g or lb"},
    [DIM_ANGLE] = {"angle", "rad", "deg or rad"},
    [DIM_TIME] = {"time", "s", "s, min or h"},
    [DIM_DENSITY] = {"density", "kg/m3", "kg/m3 or g/cm3"},
    [DIM_SPECIFIC_HEAT] = {"specific heat", "J/(kg K)", "J/(kg K) or kJ/(kg K)"},
    [DIM_HEAT_CAPACITY] = {"heat capacity per area", "J/(m2 K)", "kJ/(m2 K) or J/(m2 K)"},
    [DIM_HEAT_LOSS] = {"heat loss", "W/(m2 K)", "W/(m2 K) or BTU/(h ft2 degF)"},
    [DIM_LOSS_RISE] = {"rise of the heat loss", "W/(m2 K2)", "W/(m2 K2)"},
    [DIM_PIPE_LOSS] = {"heat loss per length", "W/(m K)", "W/(m K), mW/(m K) or BTU/(h ft degF)"},
    [DIM_INSULANCE] = {"temperature difference by irradiance", "m2 K/W",
                       "m2 K/W or h ft2 degF/BTU"},
    [DIM_RAMP] = {"change of temperature with time", "K/s", "K/min, K/h or K/s"},
    [DIM_PRESSURE] = {"pressure", "Pa", "Pa, hPa, bar or psi"},
    [DIM_POWER] = {"power", "W", "W, kW or BTU/h"},
    [DIM_ENERGY] = {"energy", "J", "J, kWh or MJ"},
    [DIM_PULSES] = {"pulses", "pulses", "pulses (a counter), pulses per interval or Hz"},
    [DIM_VOLTAGE] = {"voltage", "V", "V, mV or uV"},
    [DIM_RESISTANCE] = {"resistance", "ohm", "ohm or kohm"},
    [DIM_SENSITIVITY] = {"sensitivity to irradiance", "V m2/W", "uV/(W/m2) or mV/(kW/m2)"},
};

/* Whether the folded spelling is one of the unit's. */
static bool unit_answers(const struct unit *unit, const char *folded,
                         int (*compare)(const char *, const char *))
{
    char own[UNIT_FOLDED_SIZE];
    if (unit_fold(unit->name, strlen(unit->name), own) && compare(own, folded) == 0)
        return true;
    for (const char *word = unit->also; *word != '\0';) {
        size_t n = strcspn(word, " ");
        if (unit_fold(word, n, own) && compare(own, folded) == 0)
            return true;
        word += n;
        word += strspn(word, " ");
    }
    return false;
}

/* The only unit of the dimension (DIM_COUNT: of any) that answers; NULL if none or several do. */
static const struct unit *search(const char *folded, enum dimension dimension,
                                 int (*compare)(const char *, const char *))
{
    size_t n;
    const struct unit *units = unit_table(&n);
    const struct unit *found = NULL;
    for (size_t i = 0; i < n; i++) {
        if (dimension != DIM_COUNT && units[i].dimension != dimension)
            continue;
        if (!unit_answers(&units[i], folded, compare))
            continue;
        if (found != NULL)
            return NULL;
        found = &units[i];
    }
    return found;
}

/* The same by the factors of a compound unit, in whatever order and with whatever signs between. */
static const struct unit *search_compound(const char *spelling, enum dimension dimension)
{
    struct unit_factors wanted, own;
    if (!unit_factors_read(spelling, &wanted))
        return NULL;
    size_t n;
    const struct unit *units = unit_table(&n);
    for (size_t i = 0; i < n; i++)
        if ((dimension == DIM_COUNT || units[i].dimension == dimension) &&
            strchr(units[i].name, '/') != NULL &&
            unit_factors_read(units[i].name, &own) && unit_factors_same(&wanted, &own))
            return &units[i];
    return NULL;
}

static const struct unit *find(const char *spelling, enum dimension dimension)
{
    char folded[UNIT_FOLDED_SIZE];
    if (!unit_fold(spelling, strlen(spelling), folded) || folded[0] == '\0')
        return NULL;
    const struct unit *unit = search(folded, dimension, strcmp);
    if (unit == NULL)
        unit = search(folded, dimension, strcasecmp);
    return unit != NULL ? unit : search_compound(spelling, dimension);
}

const struct unit *unit_find(const char *spelling, enum dimension dimension)
{
    return find(spelling, dimension);
}

enum dimension unit_dimension_of(const char *spelling)
{
    const struct unit *unit = find(spelling, DIM_COUNT);
    return unit != NULL ? unit->dimension : DIM_COUNT;
}

const char *dimension_name(enum dimension dimension)
{
    return dimensions[dimension].name;
}

const char *dimension_si(enum dimension dimension)
{
    return dimensions[dimension].si;
}

const char *dimension_examples(enum dimension dimension)
{
    return dimensions[dimension].examples;
}

double unit_absolute(const struct unit *unit, double value)
{
    return value * unit->scale + unit->offset;
}

double unit_difference(const struct unit *unit, double value)
{
    return value * unit->scale;
}
