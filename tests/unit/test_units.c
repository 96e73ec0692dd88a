/* The table of units: against udunits2 where it knows the unit, against published factors
 * elsewhere. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/units.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <udunits2.h>

/* Ours in udunits2's words. "" = the same spelling. Units of the table that are not here must stand
 * in `by_hand` below. */
static const struct {
    const char *ours;
    const char *theirs;
} oracle[] = {
    {"1", "1"}, {"%", "%"},
    {"degC", ""}, {"K", ""}, {"mK", ""}, {"degF", ""}, {"degR", ""},
    {"W/m2", ""}, {"kW/m2", ""}, {"W/cm2", ""}, {"mW/cm2", ""}, {"W/ft2", ""},
    {"kJ/(m2 h)", "kJ m-2 h-1"}, {"MJ/(m2 h)", "MJ m-2 h-1"},
    {"BTU/(h ft2)", "BTU h-1 ft-2"}, {"BTU/(min ft2)", "BTU min-1 ft-2"},
    {"W/in2", ""}, {"kJ/(m2 min)", "kJ m-2 min-1"}, {"ly/min", "langley/min"},
    {"ly/h", "langley/h"},
    {"m3/d", "m3/day"}, {"L/d", "L/day"}, {"mL/h", ""}, {"gal/s", "gallon/s"},
    {"gal/d", "gallon/day"}, {"ft3/h", ""},
    {"kg/d", "kg/day"}, {"g/h", ""}, {"lb/s", ""},
    {"mm/s", ""}, {"m/min", ""}, {"in/s", ""},
    {"dm", ""}, {"nm", ""}, {"mil", "mil"}, {"mile", ""},
    {"yd2", "yard2"},
    {"qt", "liquid_quart"}, {"pt", "liquid_pint"}, {"floz", "fluid_ounce"}, {"in3", ""},
    {"mg", ""}, {"t", "tonne"},
    {"arcsec", "arcsecond"}, {"us", "microsecond"},
    {"g/L", ""}, {"lb/gal", "lb/gallon"},
    {"MJ/(kg K)", "MJ kg-1 K-1"}, {"MJ/(m2 K)", "MJ m-2 K-1"},
    {"kcal/(m2 K)", "kIT_calorie m-2 K-1"},
    {"kW/(m2 K)", "kW m-2 K-1"}, {"W/(cm2 K)", "W cm-2 K-1"}, {"mW/(cm2 K)", "mW cm-2 K-1"},
    {"kJ/(h m2 K)", "kJ h-1 m-2 K-1"}, {"kcal/(h m2 K)", "kIT_calorie h-1 m-2 K-1"},
    {"W/(cm K)", "W cm-1 K-1"}, {"kJ/(h m K)", "kJ h-1 m-1 K-1"},
    {"kcal/(h m K)", "kIT_calorie h-1 m-1 K-1"},
    {"BTU in/(h ft2 degF)", "BTU in h-1 ft-2 degR-1"},
    {"m2 K/W", "m2 K W-1"}, {"m2 K/kW", "m2 K kW-1"}, {"h ft2 degF/BTU", "h ft2 degR BTU-1"},
    {"mK/s", ""},
    {"kgf/cm2", "kgf/cm2"}, {"mmHg", "mmHg"}, {"inHg", "inHg"},
    {"ftH2O", "ftH2O"},
    {"MW", ""}, {"kJ/h", ""}, {"MJ/h", ""}, {"kcal/h", "kIT_calorie/h"}, {"BTU/min", ""},
    {"kBTU/h", "kBTU/h"}, {"hp", "550 ft lbf s-1"},
    {"GJ", ""}, {"MWh", "MW h"}, {"kBTU", "kBTU"}, {"therm", "US_therm"},
    {"m3/s", ""}, {"m3/min", ""}, {"m3/h", ""}, {"L/s", ""}, {"L/min", ""}, {"L/h", ""},
    {"mL/s", ""}, {"mL/min", ""}, {"gal/min", "gallon/min"}, {"gal/h", "gallon/h"},
    {"impgal/min", "Canadian_liquid_gallon/min"}, {"impgal/h", "Canadian_liquid_gallon/h"},
    {"ft3/min", ""}, {"ft3/s", ""},
    {"kg/s", ""}, {"kg/min", ""}, {"kg/h", ""}, {"t/h", "tonne/h"}, {"g/s", ""}, {"g/min", ""},
    {"lb/min", ""}, {"lb/h", ""},
    {"m/s", ""}, {"cm/s", ""}, {"km/h", ""}, {"mile/h", ""}, {"knot", ""}, {"ft/s", ""},
    {"ft/min", ""},
    {"m", ""}, {"cm", ""}, {"mm", ""}, {"um", ""}, {"km", ""}, {"in", ""}, {"ft", ""},
    {"yd", "yard"},
    {"m2", ""}, {"dm2", ""}, {"cm2", ""}, {"mm2", ""}, {"ft2", ""}, {"in2", ""},
    {"m3", ""}, {"L", ""}, {"mL", ""}, {"gal", "gallon"}, {"impgal", "Canadian_liquid_gallon"},
    {"ft3", ""}, {"kg", ""}, {"g", ""}, {"lb", ""},
    {"rad", "radian"}, {"mrad", "milliradian"}, {"deg", "degree"}, {"arcmin", "arcminute"},
    {"s", ""}, {"ms", ""}, {"min", ""}, {"h", ""}, {"d", "day"},
    {"kg/m3", ""}, {"g/cm3", ""}, {"lb/ft3", ""},
    {"J/(kg K)", "J kg-1 K-1"}, {"kJ/(kg K)", "kJ kg-1 K-1"}, {"Wh/(kg K)", "W h kg-1 K-1"},
    {"BTU/(lb degF)", "BTU lb-1 degR-1"},
    {"J/(m2 K)", "J m-2 K-1"}, {"kJ/(m2 K)", "kJ m-2 K-1"}, {"Wh/(m2 K)", "W h m-2 K-1"},
    {"BTU/(ft2 degF)", "BTU ft-2 degR-1"},
    {"W/(m2 K)", "W m-2 K-1"}, {"BTU/(h ft2 degF)", "BTU h-1 ft-2 degR-1"},
    {"W/(m2 K2)", "W m-2 K-2"}, {"ohm", ""}, {"kohm", ""},
    {"W/(m K)", "W m-1 K-1"}, {"mW/(m K)", "mW m-1 K-1"},
    {"BTU/(h ft degF)", "BTU h-1 ft-1 degR-1"},
    {"K/s", ""}, {"K/min", ""}, {"K/h", ""}, {"degF/min", "degR/min"}, {"degF/h", "degR/h"},
    {"Pa", ""}, {"hPa", ""}, {"kPa", ""}, {"MPa", ""}, {"bar", ""}, {"atm", ""}, {"psi", ""},
    {"W", ""}, {"mW", ""}, {"kW", ""}, {"BTU/h", ""},
    {"J", ""}, {"kJ", ""}, {"MJ", ""}, {"Wh", "W h"}, {"kWh", "kW h"}, {"BTU", ""},
    {"V", ""}, {"mV", ""}, {"uV", ""},
    {"uV m2/W", "uV m2 W-1"}, {"mV m2/W", "mV m2 W-1"}, {"mV m2/kW", "mV m2 kW-1"},
    {"V m2/W", "V m2 W-1"},
};

/* udunits2 does not know these (or means something else). NIST SP 811 (2008), appendix B.8:
 * kilocalorie (International Table) 4186.8 J, conventional water 9806.65 Pa a metre, inch of water
 * (conventional) 249.0889 Pa; gon = pi/200 rad, ISO 80000-3. Factors from memory where not said
 * otherwise. */
static const struct {
    const char *ours;
    double scale;
    double tolerance; /* relative */
} by_hand[] = {
    {"kcal/(m2 h)", 1.163, 1e-12},
    {"kcal/(kg K)", 4186.8, 1e-12},
    {"kcal", 4186.8, 1e-12},
    {"Mcal", 4186800, 1e-12},
    {"gon", 0.015707963267948967, 1e-12},
    {"mH2O", 9806.65, 1e-12},
    {"mmH2O", 9.80665, 1e-12},
    {"inH2O", 249.0889, 1e-6},
    {"oz", 0.028349523125, 1e-12}, /* a sixteenth of the pound; udunits2 has it rounded */
    {"torr", 133.3224, 1e-6},      /* udunits2 takes it for mmHg */
    {"pulses", 1, 0},
    {"pulses per interval", 1, 0},
    {"Hz", 1, 0},
    {"pulses/min", 0.016666666666666666, 1e-12},
};

static const char *const si_of[DIM_COUNT] = {
    [DIM_NONE] = "1",
    [DIM_TEMPERATURE] = "degC",
    [DIM_IRRADIANCE] = "W m-2",
    [DIM_VOLUME_FLOW] = "m3 s-1",
    [DIM_MASS_FLOW] = "kg s-1",
    [DIM_SPEED] = "m s-1",
    [DIM_LENGTH] = "m",
    [DIM_AREA] = "m2",
    [DIM_VOLUME] = "m3",
    [DIM_MASS] = "kg",
    [DIM_ANGLE] = "radian",
    [DIM_TIME] = "s",
    [DIM_DENSITY] = "kg m-3",
    [DIM_SPECIFIC_HEAT] = "J kg-1 K-1",
    [DIM_HEAT_CAPACITY] = "J m-2 K-1",
    [DIM_HEAT_LOSS] = "W m-2 K-1",
    [DIM_LOSS_RISE] = "W m-2 K-2",
    [DIM_PIPE_LOSS] = "W m-1 K-1",
    [DIM_INSULANCE] = "m2 K W-1",
    [DIM_RAMP] = "K s-1",
    [DIM_PRESSURE] = "Pa",
    [DIM_POWER] = "W",
    [DIM_ENERGY] = "J",
    [DIM_PULSES] = "1", /* our own word, by hand above */
    [DIM_VOLTAGE] = "V",
    [DIM_RESISTANCE] = "ohm",
    [DIM_SENSITIVITY] = "V m2 W-1",
};

static const char *in_oracle(const char *name)
{
    for (size_t i = 0; i < sizeof oracle / sizeof oracle[0]; i++)
        if (strcmp(oracle[i].ours, name) == 0)
            return oracle[i].theirs[0] != '\0' ? oracle[i].theirs : name;
    return NULL;
}

static bool compare(ut_system *system, const struct unit *unit, const char *theirs)
{
    ut_unit *from = ut_parse(system, theirs, UT_ASCII);
    ut_unit *to = ut_parse(system, si_of[unit->dimension], UT_ASCII);
    cv_converter *converter = from != NULL && to != NULL ? ut_get_converter(from, to) : NULL;
    if (converter == NULL) {
        print_error("%s: udunits2 cannot convert '%s'\n", unit->name, theirs);
        return false;
    }
    bool good = true;
    static const double values[] = {0.0, 17.3, -3.7, 412.9};
    for (size_t i = 0; i < 4; i++) {
        double want = cv_convert_double(converter, values[i]);
        double got = unit_absolute(unit, values[i]);
        /* Their gallon is rounded to 3.785412 L: 6e-8. */
        if (fabs(got - want) > 1e-7 * fmax(fabs(want), 1e-12)) {
            print_error("%s: %.17g is %.17g, udunits2 says %.17g\n", unit->name, values[i], got,
                        want);
            good = false;
        }
    }
    cv_free(converter);
    ut_free(from);
    ut_free(to);
    return good;
}

static void units_agree_with_udunits2(void **state)
{
    (void)state;
    ut_set_error_message_handler(ut_ignore);
    ut_system *system = ut_read_xml(NULL);
    assert_non_null(system);
    size_t n;
    size_t compared = 0;
    size_t wrong = 0;
    const struct unit *table = unit_table(&n);
    for (size_t i = 0; i < n; i++) {
        const char *theirs = in_oracle(table[i].name);
        if (theirs == NULL)
            continue;
        compared++;
        wrong += !compare(system, &table[i], theirs);
    }
    ut_free_system(system);
    assert_int_equal(compared, sizeof oracle / sizeof oracle[0]);
    assert_int_equal(wrong, 0);
}

static const struct unit *table_row(const char *name)
{
    size_t n;
    const struct unit *table = unit_table(&n);
    for (size_t i = 0; i < n; i++)
        if (strcmp(table[i].name, name) == 0)
            return &table[i];
    print_error("'%s' is not in the table\n", name);
    fail();
    return NULL;
}

static void other_units_agree_with_published_factors(void **state)
{
    (void)state;
    size_t n;
    unit_table(&n);
    size_t known = sizeof oracle / sizeof oracle[0] + sizeof by_hand / sizeof by_hand[0];
    assert_int_equal(n, known); /* no unit is without a check */
    for (size_t i = 0; i < sizeof by_hand / sizeof by_hand[0]; i++) {
        double scale = table_row(by_hand[i].ours)->scale;
        if (fabs(scale / by_hand[i].scale - 1.0) > by_hand[i].tolerance) {
            print_error("%s: scale %.17g, published %.17g\n", by_hand[i].ours, scale,
                        by_hand[i].scale);
            fail();
        }
    }
}

static void spellings_are_found(void **state)
{
    (void)state;
    static const struct {
        const char *spelling;
        enum dimension dimension;
        const char *name; /* NULL: refused */
    } rows[] = {
        {"C", DIM_TEMPERATURE, "degC"},
        {"F", DIM_TEMPERATURE, "degF"},
        {"\xc2\xb0"
         "C",
         DIM_TEMPERATURE, "degC"},
        {"\xc2\xba"
         "F",
         DIM_TEMPERATURE, "degF"},
        {"\xb0"
         "C",
         DIM_TEMPERATURE, "degC"},
        {"\xe2\x84\x83", DIM_TEMPERATURE, "degC"},
        {"deg C", DIM_TEMPERATURE, "degC"},
        {"Celsius", DIM_TEMPERATURE, "degC"},
        {"\xc2\xb0", DIM_ANGLE, "deg"},
        {"W/m\xc2\xb2", DIM_IRRADIANCE, "W/m2"},
        {"W m^-2", DIM_IRRADIANCE, "W/m2"},
        {"W\xc2\xb7m\xe2\x81\xbb\xc2\xb2", DIM_IRRADIANCE, "W/m2"},
        {"w/M2", DIM_IRRADIANCE, "W/m2"},
        {"W/sqm", DIM_IRRADIANCE, "W/m2"},
        {"l/min", DIM_VOLUME_FLOW, "L/min"},
        {"LPM", DIM_VOLUME_FLOW, "L/min"},
        {"gpm", DIM_VOLUME_FLOW, "gal/min"},
        {"m\xc2\xb3/h", DIM_VOLUME_FLOW, "m3/h"},
        {"mph", DIM_SPEED, "mile/h"},
        {"kwh", DIM_ENERGY, "kWh"},
        {"KWH", DIM_ENERGY, "kWh"},
        {"kW h", DIM_ENERGY, "kWh"},
        {"kW\xc2\xb7h", DIM_ENERGY, "kWh"},
        {"kWhr", DIM_ENERGY, "kWh"},
        {"kilowatt hours", DIM_ENERGY, "kWh"},
        {"therms", DIM_ENERGY, "therm"},
        {"US therm", DIM_ENERGY, "therm"},
        {"therm (US)", DIM_ENERGY, "therm"},
        {"Btu", DIM_ENERGY, "BTU"},
        {"kBtu", DIM_ENERGY, "kBTU"},
        {"megajoules", DIM_ENERGY, "MJ"},
        {"Gcal", DIM_ENERGY, NULL},
        {"btu/h/ft2", DIM_IRRADIANCE, "BTU/(h ft2)"},
        {"W/(m\xc2\xb2\xc2\xb7K)", DIM_HEAT_LOSS, "W/(m2 K)"},
        {"W/m2/K", DIM_HEAT_LOSS, "W/(m2 K)"},
        {"J kg-1 K-1", DIM_SPECIFIC_HEAT, "J/(kg K)"},
        {"\xce\xbcV", DIM_VOLTAGE, "uV"},
        {"\xc2\xb5V/(W/m\xc2\xb2)", DIM_SENSITIVITY, "uV m2/W"},
        {"\xc2\xb5V/W\xc2\xb7m\xe2\x81\xbb\xc2\xb2", DIM_SENSITIVITY, "uV m2/W"},
        {"mV/(kW/m2)", DIM_SENSITIVITY, "mV m2/kW"},
        {"percent", DIM_NONE, "%"},
        {"mpa", DIM_PRESSURE, "MPa"},
        {"M", DIM_LENGTH, "m"},
        {"W m-2", DIM_IRRADIANCE, "W/m2"},
        {"W/m**2", DIM_IRRADIANCE, "W/m2"},
        {"W/m\xb2", DIM_IRRADIANCE, "W/m2"},
        {"watts per square metre", DIM_IRRADIANCE, NULL},
        {"kw/m2", DIM_IRRADIANCE, "kW/m2"},
        {"Btu/hr-ft2", DIM_IRRADIANCE, "BTU/(h ft2)"},
        {"BTU/hr\xc2\xb7"
         "ft\xc2\xb2\xc2\xb7\xc2\xb0"
         "F",
         DIM_HEAT_LOSS, "BTU/(h ft2 degF)"},
        {"BTU h^-1 ft^-2 F^-1", DIM_HEAT_LOSS, "BTU/(h ft2 degF)"},
        {"BTU-in/hr-ft2-F", DIM_PIPE_LOSS, "BTU in/(h ft2 degF)"},
        {"W m^-1 \xc2\xb0"
         "C^-1",
         DIM_PIPE_LOSS, "W/(m K)"},
        {"\xc2\xb0"
         "F ft\xc2\xb2 hr/BTU",
         DIM_INSULANCE, "h ft2 degF/BTU"},
        {"K m2/W", DIM_INSULANCE, "m2 K/W"},
        {"m2 \xc2\xb0"
         "C/W",
         DIM_INSULANCE, "m2 K/W"},
        {"km per hour", DIM_SPEED, "km/h"},
        {"m/sec", DIM_SPEED, "m/s"},
        {"litres per minute", DIM_VOLUME_FLOW, "L/min"},
        {"US gal/min", DIM_VOLUME_FLOW, "gal/min"},
        {"cfm", DIM_VOLUME_FLOW, "ft3/min"},
        {"cc/min", DIM_VOLUME_FLOW, "mL/min"},
        {"lbm/hr", DIM_MASS_FLOW, "lb/h"},
        {"in H2O", DIM_PRESSURE, "inH2O"},
        {"mW/m2", DIM_IRRADIANCE, NULL}, /* neither kilo nor mega by guess */
        {"MW", DIM_POWER, "MW"},
        {"mw", DIM_POWER, NULL}, /* milli or mega */
        {"W m2", DIM_IRRADIANCE, NULL},
        {"m/s/s", DIM_SPEED, NULL},
        {"W/m^", DIM_IRRADIANCE, NULL},
        {"sq ft", DIM_AREA, "ft2"},
        {"ft.", DIM_LENGTH, NULL},
        {"C", DIM_VOLTAGE, NULL},       /* no coulomb */
        {"deg", DIM_TEMPERATURE, NULL}, /* an angle */
        {"W/m", DIM_IRRADIANCE, NULL},
        {"kg/s", DIM_VOLUME_FLOW, NULL}, /* needs a density */
        {"a", DIM_AREA, NULL},
        {"gal", DIM_VOLUME_FLOW, NULL},
        {"mj", DIM_POWER, NULL},
        {"", DIM_TEMPERATURE, NULL},
        {" ", DIM_NONE, NULL},
        {"W/m2W/m2W/m2W/m2W/m2W/m2W/m2W/m2W/m2W/m2W/m2W/m2W/m2W/m2W/m2W/m2W/m2", DIM_IRRADIANCE,
         NULL},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const struct unit *unit = unit_find(rows[i].spelling, rows[i].dimension);
        const char *got = unit != NULL ? unit->name : "(refused)";
        const char *want = rows[i].name != NULL ? rows[i].name : "(refused)";
        if (strcmp(got, want) != 0) {
            print_error("'%s' as %s: %s, wanted %s\n", rows[i].spelling,
                        dimension_name(rows[i].dimension), got, want);
            fail();
        }
    }
}

/* One way of joining the factors of a compound unit. */
struct style {
    const char *name;
    const char *times, *per, *open, *close; /* "W" per open "m2" times "K" close */
    bool superscript, caret, spelled;
};

/* "h" -> "hour", "m2" -> "m^2" or "m\xc2\xb2". */
static void restyle(const struct style *style, const char *word, size_t n, char *out)
{
    char last = word[n - 1];
    bool power = n > 1 && (last == '2' || last == '3') && word[n - 2] != 'O';
    size_t stem = power ? n - 1 : n;
    char text[32];
    snprintf(text, sizeof text, "%.*s", (int)stem, word);
    if (style->spelled && strcmp(text, "h") == 0)
        strcpy(text, "hour");
    if (style->spelled && strcmp(text, "degF") == 0)
        strcpy(text, "\xc2\xb0" "F");
    strcat(out, text);
    if (power && style->superscript)
        strcat(out, last == '2' ? "\xc2\xb2" : "\xc2\xb3");
    else if (power)
        sprintf(out + strlen(out), "%s%c", style->caret ? "^" : "", last);
}

static void write_in(const struct style *style, const char *name, char out[128])
{
    out[0] = '\0';
    bool below = false;
    for (const char *at = name; *at != '\0';) {
        size_t n = strcspn(at, " /()");
        if (n > 0)
            restyle(style, at, n, out);
        at += n;
        if (*at == '/') {
            strcat(out, style->per);
            if (strchr(at, ' ') != NULL)
                strcat(out, style->open);
            below = strchr(at, ' ') != NULL;
        } else if (*at == ' ') {
            strcat(out, style->times);
        }
        at += *at != '\0';
    }
    if (below)
        strcat(out, style->close);
}

/* Every compound unit of the table, in the ways in which certificates, loggers and spreadsheets
 * join the factors. */
static void compound_units_are_found_however_they_are_joined(void **state)
{
    (void)state;
    static const struct style styles[] = {
        {"brackets, dots", "\xc2\xb7", "/", "(", ")", true, false, false},
        {"carets, asterisks", "*", "/", "(", ")", false, true, false},
        {"one stroke, no brackets", " ", "/", "", "", false, false, false},
        {"hyphens", "-", "/", "", "", true, false, true},
        {"points", ".", "/", "(", ")", false, true, true},
        {"per", " ", " per ", "", "", false, true, true},
    };
    size_t n, tried = 0;
    const struct unit *table = unit_table(&n);
    for (size_t i = 0; i < n; i++) {
        if (strchr(table[i].name, '/') == NULL || table[i].dimension == DIM_PULSES)
            continue;
        for (size_t k = 0; k < sizeof styles / sizeof styles[0]; k++) {
            char text[128];
            write_in(&styles[k], table[i].name, text);
            const struct unit *found = unit_find(text, table[i].dimension);
            if (found != &table[i]) {
                print_error("%s with %s, '%s': found %s\n", table[i].name, styles[k].name, text,
                            found == NULL ? "nothing" : found->name);
                fail();
            }
            tried++;
        }
    }
    assert_true(tried > 500);
}

static void likely_slips_are_explained(void **state)
{
    (void)state;
    static const struct {
        const char *spelling;
        enum dimension dimension;
        const char *part; /* of what is said; NULL: nothing */
    } rows[] = {
        {"l/m", DIM_VOLUME_FLOW, "'L/min' is litres a minute"},
        {"GAL/M", DIM_VOLUME_FLOW, "'gal/min' is gallons a minute"},
        {"\xc2\xb0", DIM_TEMPERATURE, "write degC or degF"},
        {"kWh/m\xc2\xb2", DIM_IRRADIANCE, "summed up over a time"},
        {"lux", DIM_IRRADIANCE, "as the eye sees it"},
        {"kWh", DIM_VOLUME_FLOW, "a heat meter's"},
        {"pulses/L", DIM_VOLUME, "1/450"},
        {"MBTU/h", DIM_POWER, "kBTU/h or kW"},
        {"W/m2", DIM_HEAT_LOSS, "per degree"},
        {"W/m2", DIM_IRRADIANCE, NULL},
        {"furlong", DIM_LENGTH, NULL},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const char *said = unit_hint(rows[i].spelling, rows[i].dimension);
        if ((said == NULL) != (rows[i].part == NULL) ||
            (said != NULL && strstr(said, rows[i].part) == NULL))
            fail_msg("%s: said '%s'", rows[i].spelling, said == NULL ? "(nothing)" : said);
        if (rows[i].part != NULL)
            assert_null(unit_find(rows[i].spelling, rows[i].dimension));
    }
}

static void names_with_two_meanings_are_noted_once(void **state)
{
    (void)state;
    static struct faults faults;
    static const struct {
        const char *name;
        enum dimension dimension;
        const char *part;
    } rows[] = {
        {"gal", DIM_VOLUME, "US gallon"},
        {"gpm", DIM_VOLUME_FLOW, "US gallon"},
        {"BTU/(h ft2)", DIM_IRRADIANCE, "International Table"},
        {"impgal/min", DIM_VOLUME_FLOW, NULL},
        {"L/min", DIM_VOLUME_FLOW, NULL},
        {"kW", DIM_POWER, NULL},
    };
    faults_init(&faults);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const struct unit *unit = unit_find(rows[i].name, rows[i].dimension);
        assert_non_null(unit);
        const char *said = unit_note(unit);
        if ((said == NULL) != (rows[i].part == NULL) ||
            (said != NULL && strstr(said, rows[i].part) == NULL))
            fail_msg("%s: noted '%s'", rows[i].name, said == NULL ? "(nothing)" : said);
        unit_note_say(unit, fault_at("plate.txt", 3, 1), &faults);
        unit_note_say(unit, fault_at("plate.txt", 4, 1), &faults);
    }
    assert_int_equal(faults.n, 2);
    assert_int_equal(faults_status(&faults), 0);
    assert_string_equal(faults.items[0].field, UNIT_NOTE_FIELD);
}

/* No spelling of one row hides another row of its dimension. */
static void every_unit_finds_itself(void **state)
{
    (void)state;
    size_t n;
    const struct unit *table = unit_table(&n);
    for (size_t i = 0; i < n; i++) {
        const struct unit *found = unit_find(table[i].name, table[i].dimension);
        if (found != &table[i]) {
            print_error("'%s' does not find itself\n", table[i].name);
            fail();
        }
    }
}

static void temperatures_differ_as_differences(void **state)
{
    (void)state;
    static const struct {
        const char *unit;
        double value;
        double absolute_degC;
        double difference_K;
    } rows[] = {
        {"degF", 10.0, -12.222222222222221, 5.5555555555555554},
        {"degF", 212.0, 100.0, 117.77777777777777},
        {"K", 300.65, 27.5, 300.65},
        {"degC", -17.3, -17.3, -17.3},
        {"mK", 25.0, -273.125, 0.025},
        {"degR", 671.67, 100.0, 373.15},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const struct unit *unit = unit_find(rows[i].unit, DIM_TEMPERATURE);
        assert_non_null(unit);
        double absolute = unit_absolute(unit, rows[i].value);
        double difference = unit_difference(unit, rows[i].value);
        if (fabs(absolute - rows[i].absolute_degC) > 1e-10 ||
            fabs(difference - rows[i].difference_K) > 1e-10) {
            print_error("%g %s: %.17g degC, %.17g K\n", rows[i].value, rows[i].unit, absolute,
                        difference);
            fail();
        }
    }
}

static void the_dimension_of_a_foreign_unit_is_named(void **state)
{
    (void)state;
    assert_int_equal(unit_dimension_of("kg/s"), DIM_MASS_FLOW);
    assert_int_equal(unit_dimension_of("C"), DIM_TEMPERATURE);
    assert_int_equal(unit_dimension_of("furlong"), DIM_COUNT);
    for (int i = 0; i < DIM_COUNT; i++) {
        enum dimension dimension = (enum dimension)i;
        const struct unit *si = unit_find(dimension_si(dimension), dimension);
        assert_non_null(si);
        assert_true(si->scale == 1.0);
        assert_true(si->offset == 0.0);
        assert_true(strlen(dimension_examples(dimension)) > 0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(units_agree_with_udunits2),
        cmocka_unit_test(other_units_agree_with_published_factors),
        cmocka_unit_test(spellings_are_found),
        cmocka_unit_test(compound_units_are_found_however_they_are_joined),
        cmocka_unit_test(likely_slips_are_explained),
        cmocka_unit_test(names_with_two_meanings_are_noted_once),
        cmocka_unit_test(every_unit_finds_itself),
        cmocka_unit_test(temperatures_differ_as_differences),
        cmocka_unit_test(the_dimension_of_a_foreign_unit_is_named),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
