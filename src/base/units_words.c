/* What is said about units: wrong spellings that are likely, and names that mean several things. */
#include "base/units.h"

#include "base/text.h"
#include "base/units_spelling.h"

#include <string.h>

/* Letter case does not count. */
static const struct {
    const char *spellings; /* blank-separated */
    enum dimension dimension;
    const char *say;
} hints[] = {
    {"l/m ltr/m liter/m litre/m", DIM_VOLUME_FLOW,
     "'m' alone is a metre: 'L/min' is litres a minute"},
    {"gal/m gallon/m", DIM_VOLUME_FLOW, "'m' alone is a metre: 'gal/min' is gallons a minute"},
    {"m3/m", DIM_VOLUME_FLOW, "'m' alone is a metre: 'm3/min' is cubic metres a minute"},
    {"J kJ MJ GJ Wh kWh MWh kcal Mcal BTU kBTU therm W kW", DIM_VOLUME_FLOW,
     "that is a heat meter's total or power: 'measures = metered heat' reads it"},
    {"pulses pulse imp counts pulses/kWh imp/kWh", DIM_POWER,
     "of a heat meter that counts pulses state what they are: 'unit = kWh' and 'gain = 0.001' for "
     "1000 pulses/kWh"},
    {"L m3 gal L/min L/h m3/h", DIM_POWER,
     "that is of the meter's flow: 'measures = flow' reads it, also as a total"},
    {"kg/m", DIM_MASS_FLOW, "'m' alone is a metre: 'kg/min' is kilograms a minute"},
    {"K/m degC/m C/m", DIM_RAMP, "'m' alone is a metre: 'K/min' is degrees a minute"},
    {"deg degree degrees", DIM_TEMPERATURE, "'deg' alone is an angle: write degC or degF"},
    {"W/m", DIM_IRRADIANCE, "sunshine falls on an area: 'W/m2'"},
    {"V mV uV volt millivolt microvolt", DIM_IRRADIANCE,
     "that is a sensor's own signal: state its 'sensitivity', 12.3 uV/(W/m2), beside it"},
    {"W kW watt watts", DIM_IRRADIANCE, "sunshine falls on an area: 'W/m2' or 'kW/m2'"},
    {"kWh/m2 Wh/m2 MJ/m2 kJ/m2 J/cm2 BTU/ft2 ly langley", DIM_IRRADIANCE,
     "that is sunshine summed up over a time; here it is wanted as power: 'W/m2', or 'kJ/(m2 h)'"},
    {"lx lux klx klux", DIM_IRRADIANCE,
     "lux is light as the eye sees it and cannot be turned into W/m2: a sensor for sunshine is "
     "needed"},
    {"umol/m2/s umol/(m2s) umolm-2s-1 PAR", DIM_IRRADIANCE,
     "that counts the light that plants use and cannot be turned into W/m2: a sensor for sunshine "
     "is "
     "needed"},
    {"bft beaufort Bf", DIM_SPEED, "the Beaufort scale has no even steps: write the wind in m/s"},
    {"pulses/L pulse/L imp/L pulses/gal pulse/gal imp/gal", DIM_VOLUME,
     "turn it over: 450 pulses/L are 1/450 = 0.002222 L a pulse"},
    {"psig barg bar(g)", DIM_PRESSURE,
     "say the pressure itself in psi or bar; whether it counts from the air's is said elsewhere"},
    {"MBTU/h MBTUh MMBTU/h MBH", DIM_POWER,
     "M stands for a thousand in some countries and for a million in others: write kBTU/h or kW"},
    {"ton tons TR tonofrefrigeration", DIM_POWER,
     "write kW or BTU/h: a ton of cooling is 12000 BTU/h"},
    {"ton tons", DIM_MASS, "a metric ton is 't'; a US ton is 2000 lb, a long one 2240 lb"},
    {"W/m2", DIM_HEAT_LOSS, "a loss is also per degree: 'W/(m2 K)'"},
    {"W/m W/K", DIM_PIPE_LOSS, "a loss of pipe is per metre and per degree: 'W/(m K)'"},
    {"J/m2 kJ/m2 kJ/K J/K", DIM_HEAT_CAPACITY,
     "it is wanted per area and per degree: 'kJ/(m2 K)'; divide by the reference area"},
    {"% percent %slope", DIM_ANGLE,
     "a slope in percent is the tangent of the angle: 100 % is 45 deg, 58 % is 30 deg"},
    {"m", DIM_AREA, "an area is in square metres: 'm2'"},
    {"W/m2K W/(m2K)", DIM_INSULANCE, "the other way up: 'm2 K/W'"},
};

static bool is_among(const char *spellings, const char *folded)
{
    for (const char *at = spellings; *at != '\0';) {
        char own[UNIT_FOLDED_SIZE];
        size_t n = strcspn(at, " ");
        if (unit_fold(at, n, own) && text_same_nocase(own, folded))
            return true;
        at += n;
        at += strspn(at, " ");
    }
    return false;
}

const char *unit_hint(const char *spelling, enum dimension dimension)
{
    char folded[UNIT_FOLDED_SIZE];
    if (!unit_fold(spelling, strlen(spelling), folded))
        return NULL;
    for (size_t i = 0; i < sizeof hints / sizeof hints[0]; i++)
        if (hints[i].dimension == dimension && is_among(hints[i].spellings, folded))
            return hints[i].say;
    return NULL;
}

/* By the beginning of the preferred name. */
static const struct {
    const char *head;
    const char *say;
} notes[] = {
    {"gal",
     "gal is the US gallon of 231 cubic inches, 3.785 L; the imperial one, 4.546 L, is impgal"},
    {"qt", "qt is the US quart, 0.946 L"},
    {"pt", "pt is the US pint, 0.473 L"},
    {"floz", "floz is the US fluid ounce, 29.57 mL"},
    {"BTU", "BTU is that of the International Table, 1055.06 J"},
    {"kBTU", "kBTU is 1000 BTU of the International Table, 1055.06 kJ"},
    {"h ft2 degF/BTU", "BTU is that of the International Table, 1055.06 J"},
    {"kcal", "kcal is that of the International Table, 4186.8 J"},
    {"ly", "ly is the langley, one thermochemical calorie on a square centimetre, 41.84 kJ/m2"},
    {"Mcal", "Mcal is 1000 kcal of the International Table, 4186.8 kJ"},
    {"therm", "therm is the US therm, 105.4804 MJ"},
    {"hp", "hp is 550 foot-pounds a second, 745.7 W; the metric one is 735.5 W"},
};

const char *unit_note(const struct unit *unit)
{
    for (size_t i = 0; i < sizeof notes / sizeof notes[0]; i++) {
        size_t n = strlen(notes[i].head);
        char after = text_starts(unit->name, notes[i].head) ? unit->name[n] : 'x';
        if (after == '\0' || after == '/' || after == ' ')
            return notes[i].say;
    }
    return NULL;
}

void unit_note_say(const struct unit *unit, struct place at, struct faults *faults)
{
    const char *say = unit_note(unit);
    if (say == NULL)
        return;
    for (size_t i = 0; i < faults->n; i++)
        if (faults->items[i].kind == FAULT_NOTE && text_same(faults->items[i].found, say))
            return;
    struct fault *fault = fault_new(faults, FAULT_NOTE, at);
    fault_field(fault, "%s", UNIT_NOTE_FIELD);
    fault_found(fault, "%s", say);
}
