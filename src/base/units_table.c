#include "base/units.h"

/* Definitions that the scales below are products of: international foot and pound (1959), gallon of
 * 231 cubic inches, imperial gallon of 4.54609 L, BTU and calorie of the International Table (BTU =
 * 1055.05585262 J, 1 kcal = 4186.8 J), standard gravity 9.80665 m/s2. NIST SP 811 (2008), appendix
 * B. */
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
#define US_THERM 105480400.0
#define LANGLEY 41840.0 /* thermochemical calories on a square centimetre, J/m2 */
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
    {"W/in2", DIM_IRRADIANCE, 1.0 / (INCH * INCH), 0.0, "W/sqin"},
    {"kJ/(m2 min)", DIM_IRRADIANCE, 1e3 / MIN, 0.0, "kJ/m2min"},
    {"kJ/(m2 h)", DIM_IRRADIANCE, 1e3 / HOUR, 0.0, "kJ/m2/h kJ/m2h kJm-2h-1"},
    {"MJ/(m2 h)", DIM_IRRADIANCE, 1e6 / HOUR, 0.0, "MJ/m2/h MJ/m2h MJm-2h-1"},
    {"ly/min", DIM_IRRADIANCE, LANGLEY / MIN, 0.0, "langley/min cal/(cm2min) cal/cm2/min"},
    {"ly/h", DIM_IRRADIANCE, LANGLEY / HOUR, 0.0, "langley/h cal/(cm2h) cal/cm2/h"},
    {"kcal/(m2 h)", DIM_IRRADIANCE, KCAL / HOUR, 0.0, "kcal/m2/h kcal/m2h"},
    {"BTU/(h ft2)", DIM_IRRADIANCE, BTU / HOUR / FT2, 0.0,
     "BTU/h/ft2 BTU/ft2/h BTU/(ft2h) BTU/hft2 BTU/(hrft2) BTU/hr/ft2 BTU/(hsqft) BTU/h/sqft"},
    {"BTU/(min ft2)", DIM_IRRADIANCE, BTU / MIN / FT2, 0.0, ""},

    {"m3/s", DIM_VOLUME_FLOW, 1.0, 0.0, "m3s-1"},
    {"m3/min", DIM_VOLUME_FLOW, 1.0 / MIN, 0.0, "m3min-1"},
    {"m3/h", DIM_VOLUME_FLOW, 1.0 / HOUR, 0.0, "m3/hr m3h-1 cbm/h"},
    {"m3/d", DIM_VOLUME_FLOW, 1.0 / DAY, 0.0, ""},
    {"L/s", DIM_VOLUME_FLOW, LITRE, 0.0, "lps liter/s litre/s ls-1 dm3/s"},
    {"L/min", DIM_VOLUME_FLOW, LITRE / MIN, 0.0, "lpm liter/min litre/min lmin-1 ltr/min dm3/min"},
    {"L/h", DIM_VOLUME_FLOW, LITRE / HOUR, 0.0, "lph liter/h litre/h lh-1 l/hr ltr/h dm3/h"},
    {"L/d", DIM_VOLUME_FLOW, LITRE / DAY, 0.0, ""},
    {"mL/s", DIM_VOLUME_FLOW, 1e-3 * LITRE, 0.0, "cm3/s cc/s"},
    {"mL/min", DIM_VOLUME_FLOW, 1e-3 * LITRE / MIN, 0.0, "cm3/min cc/min"},
    {"mL/h", DIM_VOLUME_FLOW, 1e-3 * LITRE / HOUR, 0.0, "cm3/h cc/h"},
    {"gal/s", DIM_VOLUME_FLOW, GAL, 0.0, "gps USgal/s"},
    {"gal/min", DIM_VOLUME_FLOW, GAL / MIN, 0.0, "gpm gallon/min gallons/min USgal/min USgpm"},
    {"gal/h", DIM_VOLUME_FLOW, GAL / HOUR, 0.0, "gph gallon/h gallons/h USgal/h gal/hr"},
    {"gal/d", DIM_VOLUME_FLOW, GAL / DAY, 0.0, "gpd USgal/d"},
    {"impgal/min", DIM_VOLUME_FLOW, IMPGAL / MIN, 0.0, "impgpm igpm UKgal/min"},
    {"impgal/h", DIM_VOLUME_FLOW, IMPGAL / HOUR, 0.0, "impgph igph UKgal/h"},
    {"ft3/min", DIM_VOLUME_FLOW, FT3 / MIN, 0.0, "cfm"},
    {"ft3/s", DIM_VOLUME_FLOW, FT3, 0.0, "cfs"},
    {"ft3/h", DIM_VOLUME_FLOW, FT3 / HOUR, 0.0, "cfh"},

    {"kg/s", DIM_MASS_FLOW, 1.0, 0.0, "kgs-1"},
    {"kg/min", DIM_MASS_FLOW, 1.0 / MIN, 0.0, "kgmin-1"},
    {"kg/h", DIM_MASS_FLOW, 1.0 / HOUR, 0.0, "kg/hr kgh-1"},
    {"t/h", DIM_MASS_FLOW, 1e3 / HOUR, 0.0, "tonne/h"},
    {"kg/d", DIM_MASS_FLOW, 1.0 / DAY, 0.0, ""},
    {"g/s", DIM_MASS_FLOW, 1e-3, 0.0, "gs-1"},
    {"g/min", DIM_MASS_FLOW, 1e-3 / MIN, 0.0, ""},
    {"g/h", DIM_MASS_FLOW, 1e-3 / HOUR, 0.0, ""},
    {"lb/s", DIM_MASS_FLOW, LB, 0.0, "lbs/s"},
    {"lb/min", DIM_MASS_FLOW, LB / MIN, 0.0, "lbs/min"},
    {"lb/h", DIM_MASS_FLOW, LB / HOUR, 0.0, "lbs/h lb/hr"},

    {"m/s", DIM_SPEED, 1.0, 0.0, "ms-1 mps"},
    {"cm/s", DIM_SPEED, 0.01, 0.0, ""},
    {"mm/s", DIM_SPEED, 1e-3, 0.0, ""},
    {"m/min", DIM_SPEED, 1.0 / MIN, 0.0, ""},
    {"km/h", DIM_SPEED, 1e3 / HOUR, 0.0, "kmh kph kmph km/hr kmh-1"},
    {"mile/h", DIM_SPEED, MILE / HOUR, 0.0, "mph mi/h miles/h"},
    {"knot", DIM_SPEED, NAUTICAL_MILE / HOUR, 0.0, "knots kn kt"},
    {"ft/s", DIM_SPEED, FT, 0.0, "fps"},
    {"ft/min", DIM_SPEED, FT / MIN, 0.0, "fpm"},
    {"in/s", DIM_SPEED, INCH, 0.0, "ips"},

    {"m", DIM_LENGTH, 1.0, 0.0, "metre meter metres meters"},
    {"cm", DIM_LENGTH, 0.01, 0.0, "centimetre centimeter"},
    {"dm", DIM_LENGTH, 0.1, 0.0, "decimetre decimeter"},
    {"mm", DIM_LENGTH, 1e-3, 0.0, "millimetre millimeter"},
    {"um", DIM_LENGTH, 1e-6, 0.0, "micrometre micrometer micron microns"},
    {"nm", DIM_LENGTH, 1e-9, 0.0, "nanometre nanometer"},
    {"km", DIM_LENGTH, 1e3, 0.0, "kilometre kilometer"},
    {"in", DIM_LENGTH, INCH, 0.0, "inch inches \" ″"},
    {"ft", DIM_LENGTH, FT, 0.0, "foot feet ' ′"},
    {"yd", DIM_LENGTH, 3.0 * FT, 0.0, "yard yards"},
    {"mil", DIM_LENGTH, 1e-3 * INCH, 0.0, "thou mils"},
    {"mile", DIM_LENGTH, MILE, 0.0, "miles mi"},

    {"m2", DIM_AREA, 1.0, 0.0,
     "sqm qm squaremetre squaremeter squaremetres squaremeters"},
    {"dm2", DIM_AREA, 1e-2, 0.0, ""},
    {"cm2", DIM_AREA, 1e-4, 0.0, "sqcm"},
    {"mm2", DIM_AREA, 1e-6, 0.0, "sqmm"},
    {"ft2", DIM_AREA, FT2, 0.0, "sqft squarefoot squarefeet"},
    {"in2", DIM_AREA, INCH * INCH, 0.0, "sqin"},
    {"yd2", DIM_AREA, 9.0 * FT2, 0.0, "sqyd"},

    {"m3", DIM_VOLUME, 1.0, 0.0, "cbm"},
    {"L", DIM_VOLUME, LITRE, 0.0, "liter litre liters litres ltr dm3 L/pulse L/imp"},
    {"mL", DIM_VOLUME, 1e-3 * LITRE, 0.0, "cm3 cc ccm millilitre milliliter mL/pulse mL/imp"},
    {"gal", DIM_VOLUME, GAL, 0.0, "gallon gallons USgal gal/pulse"},
    {"impgal", DIM_VOLUME, IMPGAL, 0.0, "UKgal"},
    {"qt", DIM_VOLUME, GAL / 4.0, 0.0, "quart quarts"},
    {"pt", DIM_VOLUME, GAL / 8.0, 0.0, "pint pints"},
    {"floz", DIM_VOLUME, GAL / 128.0, 0.0, "fl.oz"},
    {"in3", DIM_VOLUME, INCH * INCH * INCH, 0.0, "cuin"},
    {"ft3", DIM_VOLUME, FT3, 0.0, "cuft"},

    {"kg", DIM_MASS, 1.0, 0.0, "kilogram kilograms kilo"},
    {"g", DIM_MASS, 1e-3, 0.0, "gram grams"},
    {"mg", DIM_MASS, 1e-6, 0.0, "milligram milligrams"},
    {"t", DIM_MASS, 1e3, 0.0, "tonne tonnes"},
    {"lb", DIM_MASS, LB, 0.0, "lbs lbm pound pounds"},
    {"oz", DIM_MASS, LB / 16.0, 0.0, "ounce ounces"},

    {"rad", DIM_ANGLE, 1.0, 0.0, "radian radians"},
    {"mrad", DIM_ANGLE, 1e-3, 0.0, ""},
    {"deg", DIM_ANGLE, PI / 180.0, 0.0, "degree degrees"},
    {"arcmin", DIM_ANGLE, PI / 180.0 / 60.0, 0.0, "arcminute arcminutes"},
    {"arcsec", DIM_ANGLE, PI / 180.0 / 3600.0, 0.0, "arcsecond arcseconds"},
    {"gon", DIM_ANGLE, PI / 200.0, 0.0, "grad"},

    {"s", DIM_TIME, 1.0, 0.0, "sec secs second seconds"},
    {"ms", DIM_TIME, 1e-3, 0.0, "msec millis millisecond milliseconds"},
    {"us", DIM_TIME, 1e-6, 0.0, "usec microsecond microseconds"},
    {"min", DIM_TIME, MIN, 0.0, "mins minute minutes"},
    {"h", DIM_TIME, HOUR, 0.0, "hr hrs hour hours"},
    {"d", DIM_TIME, DAY, 0.0, "day days"},

    {"kg/m3", DIM_DENSITY, 1.0, 0.0, "kgm-3"},
    {"g/L", DIM_DENSITY, 1.0, 0.0, ""},
    {"g/cm3", DIM_DENSITY, 1e3, 0.0, "g/mL kg/L kg/dm3 gcm-3"},
    {"lb/ft3", DIM_DENSITY, LB / FT3, 0.0, "lbs/ft3"},
    {"lb/gal", DIM_DENSITY, LB / GAL, 0.0, "ppg"},

    {"J/(kg K)", DIM_SPECIFIC_HEAT, 1.0, 0.0, "J/kgK J/kg/K Jkg-1K-1 J/(kgdegC) J/kg/degC"},
    {"kJ/(kg K)", DIM_SPECIFIC_HEAT, 1e3, 0.0, "kJ/kgK kJ/kg/K kJkg-1K-1 kJ/(kgdegC) J/(gK) J/gK"},
    {"Wh/(kg K)", DIM_SPECIFIC_HEAT, HOUR, 0.0, "Wh/kgK Wh/kg/K"},
    {"kcal/(kg K)", DIM_SPECIFIC_HEAT, KCAL, 0.0, "kcal/kgK kcal/kg/K kcal/(kgdegC) cal/(gK) cal/(gdegC) cal/g/K"},
    {"MJ/(kg K)", DIM_SPECIFIC_HEAT, 1e6, 0.0, ""},
    {"BTU/(lb degF)", DIM_SPECIFIC_HEAT, BTU / LB / DEGF, 0.0, "BTU/lb/degF BTU/lbdegF BTU/(lbF)"},

    {"J/(m2 K)", DIM_HEAT_CAPACITY, 1.0, 0.0, "J/m2K J/m2/K Jm-2K-1 J/(m2degC)"},
    {"kJ/(m2 K)", DIM_HEAT_CAPACITY, 1e3, 0.0, "kJ/m2K kJ/m2/K kJm-2K-1 kJ/(m2degC)"},
    {"Wh/(m2 K)", DIM_HEAT_CAPACITY, HOUR, 0.0, "Wh/m2K Wh/m2/K"},
    {"MJ/(m2 K)", DIM_HEAT_CAPACITY, 1e6, 0.0, ""},
    {"kcal/(m2 K)", DIM_HEAT_CAPACITY, KCAL, 0.0, ""},
    {"BTU/(ft2 degF)", DIM_HEAT_CAPACITY, BTU / FT2 / DEGF, 0.0,
     "BTU/ft2/degF BTU/(ft2F) BTU/ft2degF"},

    {"W/(m2 K)", DIM_HEAT_LOSS, 1.0, 0.0, "W/m2K W/m2/K Wm-2K-1 W/(m2degC) W/m2/degC"},
    {"kW/(m2 K)", DIM_HEAT_LOSS, 1e3, 0.0, ""},
    {"W/(cm2 K)", DIM_HEAT_LOSS, 1e4, 0.0, ""},
    {"mW/(cm2 K)", DIM_HEAT_LOSS, 10.0, 0.0, ""},
    {"kJ/(h m2 K)", DIM_HEAT_LOSS, 1e3 / HOUR, 0.0, ""},
    {"kcal/(h m2 K)", DIM_HEAT_LOSS, KCAL / HOUR, 0.0, ""},
    {"BTU/(h ft2 degF)", DIM_HEAT_LOSS, BTU / HOUR / FT2 / DEGF, 0.0,
     "BTU/h/ft2/degF BTU/hft2degF BTU/(hft2F) BTU/(hrft2degF)"},

    {"W/(m2 K2)", DIM_LOSS_RISE, 1.0, 0.0, "W/m2K2 W/m2/K2 Wm-2K-2"},

    {"W/(m K)", DIM_PIPE_LOSS, 1.0, 0.0, "W/mK W/m/K Wm-1K-1 W/(mdegC)"},
    {"mW/(m K)", DIM_PIPE_LOSS, 1e-3, 0.0, "mW/mK mW/m/K"},
    {"W/(cm K)", DIM_PIPE_LOSS, 100.0, 0.0, ""},
    {"kJ/(h m K)", DIM_PIPE_LOSS, 1e3 / HOUR, 0.0, ""},
    {"kcal/(h m K)", DIM_PIPE_LOSS, KCAL / HOUR, 0.0, ""},
    {"BTU/(h ft degF)", DIM_PIPE_LOSS, BTU / HOUR / FT / DEGF, 0.0,
     "BTU/h/ft/degF BTU/hftdegF BTU/(hftF) BTU/(hrftdegF)"},
    {"BTU in/(h ft2 degF)", DIM_PIPE_LOSS, BTU * INCH / HOUR / FT2 / DEGF, 0.0, ""},

    {"m2 K/W", DIM_INSULANCE, 1.0, 0.0, "m2K/W K/(W/m2) Km2/W degCm2/W"},
    {"m2 K/kW", DIM_INSULANCE, 1e-3, 0.0, ""},
    {"h ft2 degF/BTU", DIM_INSULANCE, HOUR * FT2 * DEGF / BTU, 0.0,
     "degF/(BTU/hft2) degF/(BTU/(hft2)) hrft2degF/BTU"},

    {"K/s", DIM_RAMP, 1.0, 0.0, "degC/s Ks-1"},
    {"K/min", DIM_RAMP, 1.0 / MIN, 0.0, "degC/min Kmin-1"},
    {"mK/s", DIM_RAMP, 1e-3, 0.0, ""},
    {"K/h", DIM_RAMP, 1.0 / HOUR, 0.0, "degC/h K/hr degC/hr Kh-1"},
    {"degF/min", DIM_RAMP, DEGF / MIN, 0.0, "F/min"},
    {"degF/h", DIM_RAMP, DEGF / HOUR, 0.0, "F/h degF/hr"},

    {"Pa", DIM_PRESSURE, 1.0, 0.0, "pascal"},
    {"hPa", DIM_PRESSURE, 100.0, 0.0, "mbar millibar"},
    {"kPa", DIM_PRESSURE, 1e3, 0.0, ""},
    {"MPa", DIM_PRESSURE, 1e6, 0.0, ""},
    {"bar", DIM_PRESSURE, 1e5, 0.0, ""},
    {"kgf/cm2", DIM_PRESSURE, 9.80665e4, 0.0, "kp/cm2 at"},
    {"torr", DIM_PRESSURE, 101325.0 / 760.0, 0.0, ""},
    {"mmHg", DIM_PRESSURE, 133.322387415, 0.0, ""},
    {"inHg", DIM_PRESSURE, 133.322387415 * 25.4, 0.0, ""},
    {"atm", DIM_PRESSURE, 101325.0, 0.0, ""},
    {"psi", DIM_PRESSURE, LB * 9.80665 / (INCH * INCH), 0.0, "lbf/in2 lb/in2"},
    {"mH2O", DIM_PRESSURE, 9806.65, 0.0, "mWC mWS"},
    {"mmH2O", DIM_PRESSURE, 9.80665, 0.0, "mmWC mmWS"},
    {"inH2O", DIM_PRESSURE, 9806.65 * INCH, 0.0, "inWC in.w.c. iwc"},
    {"ftH2O", DIM_PRESSURE, 9806.65 * FT, 0.0, "ftWC"},

    {"W", DIM_POWER, 1.0, 0.0, "watt watts J/s"},
    {"mW", DIM_POWER, 1e-3, 0.0, ""},
    {"kW", DIM_POWER, 1e3, 0.0, "kilowatt kilowatts kJ/s"},
    {"MW", DIM_POWER, 1e6, 0.0, ""},
    {"kJ/h", DIM_POWER, 1e3 / HOUR, 0.0, ""},
    {"MJ/h", DIM_POWER, 1e6 / HOUR, 0.0, ""},
    {"kcal/h", DIM_POWER, KCAL / HOUR, 0.0, ""},
    {"BTU/h", DIM_POWER, BTU / HOUR, 0.0, "BTU/hr BTUh"},
    {"BTU/min", DIM_POWER, BTU / MIN, 0.0, ""},
    {"kBTU/h", DIM_POWER, 1e3 * BTU / HOUR, 0.0, "kBTUh"},
    {"hp", DIM_POWER, 550.0 * FT * LB * 9.80665, 0.0, "horsepower"},

    {"J", DIM_ENERGY, 1.0, 0.0, "joule joules Ws"},
    {"kJ", DIM_ENERGY, 1e3, 0.0, "kilojoule kilojoules kWs"},
    {"MJ", DIM_ENERGY, 1e6, 0.0, "megajoule megajoules"},
    {"GJ", DIM_ENERGY, 1e9, 0.0, "gigajoule gigajoules"},
    {"Wh", DIM_ENERGY, HOUR, 0.0, "watthour watthours Whr"},
    {"kWh", DIM_ENERGY, 1e3 * HOUR, 0.0, "kilowatthour kilowatthours kWhr"},
    {"MWh", DIM_ENERGY, 1e6 * HOUR, 0.0, "megawatthour megawatthours MWhr"},
    {"kcal", DIM_ENERGY, KCAL, 0.0, "kilocalorie kilocalories"},
    {"Mcal", DIM_ENERGY, 1e3 * KCAL, 0.0, "megacalorie megacalories"},
    {"BTU", DIM_ENERGY, BTU, 0.0, "BTUs"},
    {"kBTU", DIM_ENERGY, 1e3 * BTU, 0.0, "kBTUs"},
    {"therm", DIM_ENERGY, US_THERM, 0.0, "therms UStherm therm(US)"},

    {"pulses", DIM_PULSES, 1.0, 0.0, "pulse counts"},
    {"pulses per interval", DIM_PULSES, 1.0, 0.0, "pulses/interval pulsesperrow"},
    {"Hz", DIM_PULSES, 1.0, 0.0, "pulses/s 1/s hertz"},
    {"pulses/min", DIM_PULSES, 1.0 / MIN, 0.0, "1/min"},

    {"V", DIM_VOLTAGE, 1.0, 0.0, "volt volts"},
    {"mV", DIM_VOLTAGE, 1e-3, 0.0, "millivolt"},
    {"uV", DIM_VOLTAGE, 1e-6, 0.0, "microvolt"},

    {"ohm", DIM_RESISTANCE, 1.0, 0.0, "ohms \xce\xa9"},
    {"kohm", DIM_RESISTANCE, 1e3, 0.0, "kohms k\xce\xa9"},

    {"uV m2/W", DIM_SENSITIVITY, 1e-6, 0.0, "uV/(W/m2) uVm2/W uV/Wm-2 uV/(Wm-2)"},
    {"mV m2/W", DIM_SENSITIVITY, 1e-3, 0.0, "mV/(W/m2) mVm2/W mV/Wm-2 mV/(Wm-2)"},
    {"mV m2/kW", DIM_SENSITIVITY, 1e-6, 0.0, "mV/(kW/m2) mVm2/kW mV/kWm-2 mV/(kWm-2)"},
    {"V m2/W", DIM_SENSITIVITY, 1.0, 0.0, "V/(W/m2) Vm2/W"},
};

const struct unit *unit_table(size_t *n)
{
    *n = sizeof units / sizeof units[0];
    return units;
}
