#include "base/units.h"

#include <string.h>
#include <strings.h>

/* Definitions that the scales below are products of: international foot and pound (1959), gallon of
 * 231 cubic inches, imperial gallon of 4.54609 L, BTU and calorie of the International Table (BTU =
 * 1055.05585262 J, 1 kcal = 4186.8 J), standard gravity 9.80665 m/s2. NIST SP 811 (2008), appendix B. */
#define FT 0.3048
#define FT2 (FT * FT)
#define FT3 (FT * FT * FT)
#define INCH 0.0254
#define LB 0.45359237
#define LITRE 1e-3
#define GAL (231.0 * INCH * INCH * INCH)
#define IMPGAL (4.54609 * LITRE)
#define BTU 1055.05585262
#define KCAL 4186.8
#define MIN 60.0
#define HOUR 3600.0
#define DAY 86400.0
#define MILE 1609.344
#define NAUTICAL_MILE 1852.0
#define PI 3.14159265358979323846
#define DEGF (5.0 / 9.0)

static const struct unit units[] = {
    {"1", DIM_NONE, 1.0, 0.0, ""},
    {"%", DIM_NONE, 0.01, 0.0, "percent pct"},

    {"degC", DIM_TEMPERATURE, 1.0, 0.0, "C celsius centigrade"},
    {"K", DIM_TEMPERATURE, 1.0, -273.15, "kelvin degK"},
    {"mK", DIM_TEMPERATURE, 1e-3, -273.15, "millikelvin"},
    {"degF", DIM_TEMPERATURE, DEGF, -32.0 * DEGF, "F fahrenheit"},
    {"degR", DIM_TEMPERATURE, DEGF, -273.15, "rankine"},

    {"W/m2", DIM_IRRADIANCE, 1.0, 0.0, "Wm-2 W/sqm W/qm watt/m2 watts/m2"},
    {"kW/m2", DIM_IRRADIANCE, 1e3, 0.0, "kWm-2 kW/sqm"},
    {"W/cm2", DIM_IRRADIANCE, 1e4, 0.0, "Wcm-2"},
    {"mW/cm2", DIM_IRRADIANCE, 10.0, 0.0, "mWcm-2"},
    {"W/ft2", DIM_IRRADIANCE, 1.0 / FT2, 0.0, "W/sqft"},
    {"kJ/(m2 h)", DIM_IRRADIANCE, 1e3 / HOUR, 0.0, "kJ/m2/h kJ/m2h kJm-2h-1"},
    {"MJ/(m2 h)", DIM_IRRADIANCE, 1e6 / HOUR, 0.0, "MJ/m2/h MJ/m2h MJm-2h-1"},
    {"kcal/(m2 h)", DIM_IRRADIANCE, KCAL / HOUR, 0.0, "kcal/m2/h kcal/m2h"},
    {"BTU/(h ft2)", DIM_IRRADIANCE, BTU / HOUR / FT2, 0.0,
     "BTU/h/ft2 BTU/ft2/h BTU/(ft2h) BTU/hft2 BTU/(hrft2) BTU/hr/ft2 BTU/(hsqft) BTU/h/sqft"},

    {"m3/s", DIM_VOLUME_FLOW, 1.0, 0.0, "m3s-1"},
    {"m3/min", DIM_VOLUME_FLOW, 1.0 / MIN, 0.0, "m3min-1"},
    {"m3/h", DIM_VOLUME_FLOW, 1.0 / HOUR, 0.0, "m3/hr m3h-1 cbm/h"},
    {"L/s", DIM_VOLUME_FLOW, LITRE, 0.0, "lps liter/s litre/s ls-1 dm3/s"},
    {"L/min", DIM_VOLUME_FLOW, LITRE / MIN, 0.0, "lpm liter/min litre/min lmin-1 ltr/min dm3/min"},
    {"L/h", DIM_VOLUME_FLOW, LITRE / HOUR, 0.0, "lph liter/h litre/h lh-1 l/hr ltr/h dm3/h"},
    {"mL/s", DIM_VOLUME_FLOW, 1e-3 * LITRE, 0.0, "cm3/s cc/s"},
    {"mL/min", DIM_VOLUME_FLOW, 1e-3 * LITRE / MIN, 0.0, "cm3/min cc/min"},
    {"gal/min", DIM_VOLUME_FLOW, GAL / MIN, 0.0, "gpm gallon/min gallons/min USgal/min USgpm"},
    {"gal/h", DIM_VOLUME_FLOW, GAL / HOUR, 0.0, "gph gallon/h gallons/h USgal/h gal/hr"},
    {"impgal/min", DIM_VOLUME_FLOW, IMPGAL / MIN, 0.0, "impgpm UKgal/min"},
    {"impgal/h", DIM_VOLUME_FLOW, IMPGAL / HOUR, 0.0, "impgph UKgal/h"},
    {"ft3/min", DIM_VOLUME_FLOW, FT3 / MIN, 0.0, "cfm"},
    {"ft3/s", DIM_VOLUME_FLOW, FT3, 0.0, "cfs"},

    {"kg/s", DIM_MASS_FLOW, 1.0, 0.0, "kgs-1"},
    {"kg/min", DIM_MASS_FLOW, 1.0 / MIN, 0.0, "kgmin-1"},
    {"kg/h", DIM_MASS_FLOW, 1.0 / HOUR, 0.0, "kg/hr kgh-1"},
    {"t/h", DIM_MASS_FLOW, 1e3 / HOUR, 0.0, "tonne/h"},
    {"g/s", DIM_MASS_FLOW, 1e-3, 0.0, "gs-1"},
    {"g/min", DIM_MASS_FLOW, 1e-3 / MIN, 0.0, ""},
    {"lb/min", DIM_MASS_FLOW, LB / MIN, 0.0, "lbs/min"},
    {"lb/h", DIM_MASS_FLOW, LB / HOUR, 0.0, "lbs/h lb/hr"},

    {"m/s", DIM_SPEED, 1.0, 0.0, "ms-1 mps"},
    {"cm/s", DIM_SPEED, 0.01, 0.0, ""},
    {"km/h", DIM_SPEED, 1e3 / HOUR, 0.0, "kmh kph km/hr kmh-1"},
    {"mile/h", DIM_SPEED, MILE / HOUR, 0.0, "mph mi/h miles/h"},
    {"knot", DIM_SPEED, NAUTICAL_MILE / HOUR, 0.0, "knots kn kt"},
    {"ft/s", DIM_SPEED, FT, 0.0, "fps"},
    {"ft/min", DIM_SPEED, FT / MIN, 0.0, "fpm"},

    {"m", DIM_LENGTH, 1.0, 0.0, "metre meter metres meters"},
    {"cm", DIM_LENGTH, 0.01, 0.0, "centimetre centimeter"},
    {"mm", DIM_LENGTH, 1e-3, 0.0, "millimetre millimeter"},
    {"um", DIM_LENGTH, 1e-6, 0.0, "micrometre micrometer"},
    {"km", DIM_LENGTH, 1e3, 0.0, "kilometre kilometer"},
    {"in", DIM_LENGTH, INCH, 0.0, "inch inches"},
    {"ft", DIM_LENGTH, FT, 0.0, "foot feet"},
    {"yd", DIM_LENGTH, 3.0 * FT, 0.0, "yard yards"},

    {"m2", DIM_AREA, 1.0, 0.0, "sqm qm"},
    {"dm2", DIM_AREA, 1e-2, 0.0, ""},
    {"cm2", DIM_AREA, 1e-4, 0.0, "sqcm"},
    {"mm2", DIM_AREA, 1e-6, 0.0, "sqmm"},
    {"ft2", DIM_AREA, FT2, 0.0, "sqft"},
    {"in2", DIM_AREA, INCH * INCH, 0.0, "sqin"},

    {"m3", DIM_VOLUME, 1.0, 0.0, "cbm"},
    {"L", DIM_VOLUME, LITRE, 0.0, "liter litre liters litres ltr dm3"},
    {"mL", DIM_VOLUME, 1e-3 * LITRE, 0.0, "cm3 cc"},
    {"gal", DIM_VOLUME, GAL, 0.0, "gallon gallons USgal"},
    {"impgal", DIM_VOLUME, IMPGAL, 0.0, "UKgal"},
    {"ft3", DIM_VOLUME, FT3, 0.0, "cuft"},

    {"kg", DIM_MASS, 1.0, 0.0, "kilogram kilograms kilo"},
    {"g", DIM_MASS, 1e-3, 0.0, "gram grams"},
    {"lb", DIM_MASS, LB, 0.0, "lbs pound pounds"},

    {"rad", DIM_ANGLE, 1.0, 0.0, "radian radians"},
    {"mrad", DIM_ANGLE, 1e-3, 0.0, ""},
    {"deg", DIM_ANGLE, PI / 180.0, 0.0, "degree degrees"},
    {"arcmin", DIM_ANGLE, PI / 180.0 / 60.0, 0.0, ""},
    {"gon", DIM_ANGLE, PI / 200.0, 0.0, "grad"},

    {"s", DIM_TIME, 1.0, 0.0, "sec second seconds"},
    {"ms", DIM_TIME, 1e-3, 0.0, "msec"},
    {"min", DIM_TIME, MIN, 0.0, "minute minutes"},
    {"h", DIM_TIME, HOUR, 0.0, "hr hour hours"},
    {"d", DIM_TIME, DAY, 0.0, "day days"},

    {"kg/m3", DIM_DENSITY, 1.0, 0.0, "kgm-3"},
    {"g/cm3", DIM_DENSITY, 1e3, 0.0, "g/mL kg/L kg/dm3 gcm-3"},
    {"lb/ft3", DIM_DENSITY, LB / FT3, 0.0, "lbs/ft3"},

    {"J/(kg K)", DIM_SPECIFIC_HEAT, 1.0, 0.0, "J/kgK J/kg/K Jkg-1K-1 J/(kgdegC) J/kg/degC"},
    {"kJ/(kg K)", DIM_SPECIFIC_HEAT, 1e3, 0.0, "kJ/kgK kJ/kg/K kJkg-1K-1 kJ/(kgdegC) J/(gK) J/gK"},
    {"Wh/(kg K)", DIM_SPECIFIC_HEAT, HOUR, 0.0, "Wh/kgK Wh/kg/K"},
    {"kcal/(kg K)", DIM_SPECIFIC_HEAT, KCAL, 0.0, "kcal/kgK kcal/kg/K kcal/(kgdegC)"},
    {"BTU/(lb degF)", DIM_SPECIFIC_HEAT, BTU / LB / DEGF, 0.0, "BTU/lb/degF BTU/lbdegF BTU/(lbF)"},

    {"J/(m2 K)", DIM_HEAT_CAPACITY, 1.0, 0.0, "J/m2K J/m2/K Jm-2K-1 J/(m2degC)"},
    {"kJ/(m2 K)", DIM_HEAT_CAPACITY, 1e3, 0.0, "kJ/m2K kJ/m2/K kJm-2K-1 kJ/(m2degC)"},
    {"Wh/(m2 K)", DIM_HEAT_CAPACITY, HOUR, 0.0, "Wh/m2K Wh/m2/K"},
    {"BTU/(ft2 degF)", DIM_HEAT_CAPACITY, BTU / FT2 / DEGF, 0.0,
     "BTU/ft2/degF BTU/(ft2F) BTU/ft2degF"},

    {"W/(m2 K)", DIM_HEAT_LOSS, 1.0, 0.0, "W/m2K W/m2/K Wm-2K-1 W/(m2degC) W/m2/degC"},
    {"BTU/(h ft2 degF)", DIM_HEAT_LOSS, BTU / HOUR / FT2 / DEGF, 0.0,
     "BTU/h/ft2/degF BTU/hft2degF BTU/(hft2F) BTU/(hrft2degF)"},

    {"W/(m K)", DIM_PIPE_LOSS, 1.0, 0.0, "W/mK W/m/K Wm-1K-1 W/(mdegC)"},
    {"mW/(m K)", DIM_PIPE_LOSS, 1e-3, 0.0, "mW/mK mW/m/K"},
    {"BTU/(h ft degF)", DIM_PIPE_LOSS, BTU / HOUR / FT / DEGF, 0.0,
     "BTU/h/ft/degF BTU/hftdegF BTU/(hftF) BTU/(hrftdegF)"},

    {"K/s", DIM_RAMP, 1.0, 0.0, "degC/s Ks-1"},
    {"K/min", DIM_RAMP, 1.0 / MIN, 0.0, "degC/min Kmin-1"},
    {"K/h", DIM_RAMP, 1.0 / HOUR, 0.0, "degC/h K/hr degC/hr Kh-1"},
    {"degF/min", DIM_RAMP, DEGF / MIN, 0.0, "F/min"},
    {"degF/h", DIM_RAMP, DEGF / HOUR, 0.0, "F/h degF/hr"},

    {"Pa", DIM_PRESSURE, 1.0, 0.0, "pascal"},
    {"hPa", DIM_PRESSURE, 100.0, 0.0, "mbar millibar"},
    {"kPa", DIM_PRESSURE, 1e3, 0.0, ""},
    {"MPa", DIM_PRESSURE, 1e6, 0.0, ""},
    {"bar", DIM_PRESSURE, 1e5, 0.0, ""},
    {"atm", DIM_PRESSURE, 101325.0, 0.0, ""},
    {"psi", DIM_PRESSURE, LB * 9.80665 / (INCH * INCH), 0.0, ""},
    {"mH2O", DIM_PRESSURE, 9806.65, 0.0, "mWC mWS"},
    {"mmH2O", DIM_PRESSURE, 9.80665, 0.0, "mmWC mmWS"},
    {"inH2O", DIM_PRESSURE, 9806.65 * INCH, 0.0, "inWC"},

    {"W", DIM_POWER, 1.0, 0.0, "watt watts"},
    {"mW", DIM_POWER, 1e-3, 0.0, ""},
    {"kW", DIM_POWER, 1e3, 0.0, ""},
    {"BTU/h", DIM_POWER, BTU / HOUR, 0.0, "BTU/hr BTUh"},

    {"J", DIM_ENERGY, 1.0, 0.0, "joule joules"},
    {"kJ", DIM_ENERGY, 1e3, 0.0, ""},
    {"MJ", DIM_ENERGY, 1e6, 0.0, ""},
    {"Wh", DIM_ENERGY, HOUR, 0.0, ""},
    {"kWh", DIM_ENERGY, 1e3 * HOUR, 0.0, ""},
    {"kcal", DIM_ENERGY, KCAL, 0.0, ""},
    {"BTU", DIM_ENERGY, BTU, 0.0, ""},

    {"pulses", DIM_PULSES, 1.0, 0.0, "pulse counts"},
    {"pulses per interval", DIM_PULSES, 1.0, 0.0, "pulses/interval pulsesperrow"},
    {"Hz", DIM_PULSES, 1.0, 0.0, "pulses/s 1/s hertz"},
    {"pulses/min", DIM_PULSES, 1.0 / MIN, 0.0, "1/min"},

    {"V", DIM_VOLTAGE, 1.0, 0.0, "volt volts"},
    {"mV", DIM_VOLTAGE, 1e-3, 0.0, "millivolt"},
    {"uV", DIM_VOLTAGE, 1e-6, 0.0, "microvolt"},
};

enum { UNITS = sizeof units / sizeof units[0], FOLDED_SIZE = 64 };

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
    [DIM_PIPE_LOSS] = {"heat loss per length", "W/(m K)", "W/(m K), mW/(m K) or BTU/(h ft degF)"},
    [DIM_RAMP] = {"change of temperature with time", "K/s", "K/min, K/h or K/s"},
    [DIM_PRESSURE] = {"pressure", "Pa", "Pa, hPa, bar or psi"},
    [DIM_POWER] = {"power", "W", "W, kW or BTU/h"},
    [DIM_ENERGY] = {"energy", "J", "J, kWh or MJ"},
    [DIM_PULSES] = {"pulses", "pulses", "pulses (a counter), pulses per interval or Hz"},
    [DIM_VOLTAGE] = {"voltage", "V", "V, mV or uV"},
};

/* Forms that mean the same as an ASCII one. An empty replacement drops the form. */
static const struct {
    const char *form;
    const char *ascii;
} folds[] = {
    {" ", ""},
    {"\t", ""},
    {"^", ""},
    {"*", ""},
    {"\xc2\xa0", ""},        /* no-break space */
    {"\xe2\x80\xaf", ""},    /* narrow no-break space */
    {"\xe2\x80\x89", ""},    /* thin space */
    {"\xc2\xb7", ""},        /* middle dot */
    {"\xe2\x8b\x85", ""},    /* dot operator */
    {"\xe2\x88\x99", ""},    /* bullet operator */
    {"\xc2\xb2", "2"},       /* superscript two */
    {"\xc2\xb3", "3"},       /* superscript three */
    {"\xc2\xb9", "1"},       /* superscript one */
    {"\xe2\x81\xbb", "-"},   /* superscript minus */
    {"\xe2\x88\x92", "-"},   /* minus */
    {"\xe2\x82\x82", "2"},   /* subscript two */
    {"\xc2\xb0", "deg"},     /* degree sign */
    {"\xc2\xba", "deg"},     /* masculine ordinal, typed for it */
    {"\xcb\x9a", "deg"},     /* ring above, typed for it */
    {"\xe2\x84\x83", "degC"},
    {"\xe2\x84\x89", "degF"},
    {"\xc2\xb5", "u"},       /* micro sign */
    {"\xce\xbc", "u"},       /* Greek mu */
    {"\xe2\x84\xaa", "K"},   /* Kelvin sign */
    {"\xe2\x88\x95", "/"},   /* division slash */
    {"\xe2\x81\x84", "/"},   /* fraction slash */
    {"\xb0", "deg"},         /* degree sign of Latin-1, from a log's head */
};

/* Length of the form of folds[] at `bytes`, 0 if none. */
static size_t fold_at(const char *bytes, const char **ascii)
{
    for (size_t i = 0; i < sizeof folds / sizeof folds[0]; i++) {
        size_t n = strlen(folds[i].form);
        if (strncmp(bytes, folds[i].form, n) == 0) {
            *ascii = folds[i].ascii;
            return n;
        }
    }
    return 0;
}

/* Returns: false if the folded spelling does not fit, so it is no unit. */
static bool fold(const char *spelling, size_t length, char out[FOLDED_SIZE])
{
    size_t n = 0;
    for (size_t i = 0; i < length;) {
        const char one[2] = {spelling[i], '\0'};
        const char *piece = one;
        size_t taken = fold_at(spelling + i, &piece);
        i += taken > 0 ? taken : 1;
        size_t add = strlen(piece);
        if (n + add >= FOLDED_SIZE)
            return false;
        memcpy(out + n, piece, add);
        n += add;
    }
    out[n] = '\0';
    return true;
}

/* Whether the folded spelling is one of the unit's. */
static bool unit_answers(const struct unit *unit, const char *folded,
                         int (*compare)(const char *, const char *))
{
    char own[FOLDED_SIZE];
    if (fold(unit->name, strlen(unit->name), own) && compare(own, folded) == 0)
        return true;
    for (const char *word = unit->also; *word != '\0';) {
        size_t n = strcspn(word, " ");
        if (fold(word, n, own) && compare(own, folded) == 0)
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
    const struct unit *found = NULL;
    for (size_t i = 0; i < UNITS; i++) {
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

static const struct unit *find(const char *spelling, enum dimension dimension)
{
    char folded[FOLDED_SIZE];
    if (!fold(spelling, strlen(spelling), folded) || folded[0] == '\0')
        return NULL;
    const struct unit *unit = search(folded, dimension, strcmp);
    return unit != NULL ? unit : search(folded, dimension, strcasecmp);
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

const struct unit *unit_table(size_t *n)
{
    *n = UNITS;
    return units;
}
