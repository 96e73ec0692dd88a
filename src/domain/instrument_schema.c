/* The keys of an [instrument NAME] section. */
#include "domain/instrument.h"
#include "domain/instrument_readings.h"

#include <string.h>

/* What the errors of an instrument are in; DIM_COUNT while it is not known what it measures. */
static enum dimension dimension_measured(const void *target, const char *text)
{
    const struct instrument *instrument = target;
    (void)text;
    if (!instrument->measures.at.given)
        return DIM_COUNT;
    return channel_row((enum channel)instrument->measures.index)->dimension;
}

/* Of the total whose rise with time is measured; DIM_COUNT where nothing has one. */
static enum dimension dimension_of_total(enum dimension measured)
{
    return measured == DIM_VOLUME_FLOW ? DIM_VOLUME
           : measured == DIM_POWER     ? DIM_ENERGY
                                       : DIM_COUNT;
}

/* "L/pulse" is what one pulse is, no total. */
static bool says_total(const char *unit, enum dimension measured)
{
    enum dimension total = dimension_of_total(measured);
    return total != DIM_COUNT && strchr(unit, '/') == NULL && unit_dimension_of(unit) == total;
}

/* Of the column: counts where a meter says how much one pulse is or its unit says so, a volume or
 * an energy where its unit says that it holds a total, volts where a sun sensor says what it gives.
 */
enum dimension instrument_column_dimension(const void *target, const char *unit)
{
    const struct instrument *instrument = target;
    enum dimension measured = dimension_measured(target, unit);
    if (measured == DIM_VOLUME_FLOW &&
        (instrument->m3_per_pulse.at.given || unit_dimension_of(unit) == DIM_PULSES))
        return DIM_PULSES;
    if (says_total(unit, measured))
        return dimension_of_total(measured);
    if (measured == DIM_TEMPERATURE && instrument->resistance.at.given)
        return DIM_RESISTANCE;
    return measured == DIM_IRRADIANCE && instrument->sensitivity.at.given ? DIM_VOLTAGE : measured;
}

/* One step of a total is a volume or an energy, whatever is made of it. */
static enum dimension dimension_of_step(const void *target, const char *text)
{
    const struct instrument *instrument = target;
    enum dimension measured = dimension_measured(target, text);
    bool total =
        instrument->unit_text.at.given && says_total(instrument->unit_text.text, measured);
    return total && !instrument->m3_per_pulse.at.given ? dimension_of_total(measured) : measured;
}

/* What the messages show of a channel. */
static const struct {
    const char *column, *unit, *gain;
} examples[CH_LOGGED] = {
    [CH_IRRADIANCE] = {"G tilt", "W/m2", "81.3"},
    [CH_AMBIENT] = {"T air", "degC", "0.1"},
    [CH_INLET] = {"T in", "degC", "0.1"},
    [CH_OUTLET] = {"T out", "degC", "0.1"},
    [CH_FLOW] = {"Flow", "L/min", "0.1333"},
    [CH_WIND] = {"Wind", "m/s", "0.75"},
    [CH_DIFFUSE] = {"G diffuse", "W/m2", "81.3"},
    [CH_INCIDENCE] = {"Angle", "deg", "1"},
    [CH_MASS_FLOW] = {"Mass flow", "kg/h", "10"},
    [CH_SKY] = {"T sky", "degC", "0.1"},
    [CH_LONGWAVE] = {"E longwave", "W/m2", "81.3"},
    [CH_DIRECT] = {"DNI", "W/m2", "81.3"},
    [CH_GLOBAL] = {"GHI", "W/m2", "81.3"},
    [CH_LEVEL_DIFFUSE] = {"DHI", "W/m2", "81.3"},
    [CH_TILT] = {"Tilt", "deg", "1"},
    [CH_AZIMUTH] = {"Azimuth", "deg", "1"},
    [CH_METERED] = {"Energy", "kWh", "0.001"},
};

static const char *column_example(const void *target)
{
    const struct instrument *instrument = target;
    return instrument->measures.at.given ? examples[instrument->measures.index].column : NULL;
}

/* Of what the column holds: pulses, ohm or volts have units of their own. */
static const char *unit_example(const void *target)
{
    const struct instrument *instrument = target;
    if (!instrument->measures.at.given)
        return NULL;
    enum dimension dimension = instrument_column_dimension(target, "");
    return dimension == DIM_PULSES       ? "pulses"
           : dimension == DIM_RESISTANCE ? "ohm"
           : dimension == DIM_VOLTAGE    ? "mV"
                                         : examples[instrument->measures.index].unit;
}

static const char *gain_example(const void *target)
{
    const struct instrument *instrument = target;
    return instrument->measures.at.given ? examples[instrument->measures.index].gain : NULL;
}

static const char *hint_of_measures(const char *text)
{
    static const char *const of_heat[] = {"heat", "heat meter", "energy", "power", "total heat"};
    for (size_t i = 0; i < LENGTH(of_heat); i++)
        if (text_same_nocase(text, of_heat[i]))
            return "'metered heat' is what a heat meter shows, as a total (kWh) or of the moment "
                   "(kW)";
    return NULL;
}

static const char *const resistance_words[] = {"Pt100", "Pt1000"};
static const char *const head_unit_words[] = {"right", "wrong"};
static const char *const mounting_words[] = {"immersed", "strapped on"};

static const struct schema_row rows[] = {
    {.key = "measures",
     .kind = VALUE_CHOICE,
     .choices = channel_word_table,
     .n_choices = CH_LOGGED,
     .hint_of = hint_of_measures,
     .required = true,
     .offset = offsetof(struct instrument, measures),
     .help = "what it measures",
     .example = "irradiance"},
    {.key = "column",
     .kind = VALUE_TEXT,
     .offset = offsetof(struct instrument, column),
     .help = "head of its column in the log, letter for letter; required with [log]",
     .example = "G tilt",
     .example_of = column_example},
    {.key = "log",
     .kind = VALUE_TEXT,
     .offset = offsetof(struct instrument, log_name),
     .help =
         "the logger that wrote the column, where there are several: the NAME of its [log NAME]",
     .example = "weather",
     .by_default = "that of [log]"},
    {.key = "litres per pulse",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_VOLUME,
     .limits = {0.0, 10.0, true},
     .offset = offsetof(struct instrument, m3_per_pulse),
     .help = "of a flow meter whose column holds pulses: a counter (unit pulses), what came since "
             "the last row (pulses per interval) or a frequency (Hz)",
     .example = "0.0022 L"},
    {.key = "sensitivity",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_SENSITIVITY,
     .limits = {0.0, 0.01, true},
     .offset = offsetof(struct instrument, sensitivity),
     .help = "of a sun sensor whose column holds its signal, a voltage",
     .example = "12.3 uV/(W/m2)"},
    {.key = "resistance",
     .kind = VALUE_CHOICE,
     .choices = resistance_words,
     .n_choices = LENGTH(resistance_words),
     .offset = offsetof(struct instrument, resistance),
     .help = "of a platinum thermometer whose column holds its resistance",
     .example = "Pt1000"},
    {.key = "lead",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_RESISTANCE,
     .limits = {0.0, 1000.0, false},
     .offset = offsetof(struct instrument, lead_ohm),
     .help = "of both its leads together, which is taken off; with four wires there is none",
     .example = "0.4 ohm",
     .by_default = "0 ohm"},
    {.key = "calibration table",
     .kind = VALUE_LIST,
     .offset = offsetof(struct instrument, pairs),
     .help = "pairs of the number in the log (after gain and add) and the value in the unit, with "
             "straight lines between; readings outside of it are not used",
     .example = "4: 0, 12: 610, 20: 1200"},
    {.key = "unit",
     .kind = VALUE_UNIT,
     .dimension_of = instrument_column_dimension,
     .offset = offsetof(struct instrument, unit_text),
     .help = "of its column after gain and add; required with [log]. A flow in L, m3 or gal and a "
             "metered heat in kWh, MJ or BTU are the meter's total",
     .example = "W/m2",
     .example_of = unit_example},
    {.key = "head unit",
     .kind = VALUE_CHOICE,
     .choices = head_unit_words,
     .n_choices = LENGTH(head_unit_words),
     .offset = offsetof(struct instrument, head_unit),
     .help =
         "whether the unit that the log's own head states is right; a contradiction with 'unit' "
         "is refused unless it is said to be wrong",
     .example = "wrong",
     .by_default = "right"},
    {.key = "gain",
     .kind = VALUE_NUMBER,
     .limits = {-1e12, 1e12, false},
     .offset = offsetof(struct instrument, gain),
     .help = "value in the unit = gain * number + add",
     .example = "81.3",
     .example_of = gain_example,
     .by_default = "1"},
    {.key = "add",
     .kind = VALUE_NUMBER,
     .limits = {-1e12, 1e12, false},
     .offset = offsetof(struct instrument, add),
     .help = "value in the unit = gain * number + add",
     .example = "-0.4",
     .by_default = "0"},
    {.key = "kind",
     .kind = VALUE_TEXT,
     .offset = offsetof(struct instrument, kind_text),
     .help = "documented error figures of a usual instrument of this kind",
     .example = "pyranometer class A"},
    {.key = "calibration",
     .kind = VALUE_ERROR,
     .dimension_of = dimension_measured,
     .offset = offsetof(struct instrument, calibration),
     .help = "error of the factor (in %) or of the reading (in the unit), the same all through the "
             "test",
     .example = "1.2 % k=2"},
    {.key = "drift per year",
     .kind = VALUE_ERROR,
     .dimension_of = dimension_measured,
     .offset = offsetof(struct instrument, ageing),
     .help = "change of the factor (in %) or of the reading (in the unit) in a year; it grows from "
             "'calibrated' to the test's first day",
     .example = "0.8 % limit"},
    {.key = "offset",
     .kind = VALUE_ERROR,
     .dimension_of = dimension_measured,
     .no_relative = true,
     .offset = offsetof(struct instrument, offset),
     .help = "constant error, the same all through the test",
     .example = "0.3 m/s limit"},
    {.key = "zero",
     .kind = VALUE_ERROR,
     .dimension_of = dimension_measured,
     .no_relative = true,
     .offset = offsetof(struct instrument, zero),
     .help = "constant error that differs from day to day",
     .example = "7 W/m2 limit"},
    {.key = "resolution",
     .kind = VALUE_DIFFERENCE,
     .dimension_of = dimension_of_step,
     .limits = {0.0, 1e12, false},
     .offset = offsetof(struct instrument, resolution),
     .help = "one step of the display or converter; required of a total",
     .example = "0.1 K"},
    {.key = "reading",
     .kind = VALUE_ERROR,
     .dimension_of = dimension_measured,
     .per = true,
     .offset = offsetof(struct instrument, reading),
     .help = "error that is new in every sample or every window",
     .example = "0.5 % standard per window"},
    {.key = "matched to",
     .kind = VALUE_TEXT,
     .offset = offsetof(struct instrument, matched_to),
     .help = "name of the thermometer with which it was calibrated together",
     .example = "inlet"},
    {.key = "pair",
     .kind = VALUE_ERROR,
     .dimension = DIM_TEMPERATURE,
     .no_relative = true,
     .offset = offsetof(struct instrument, pair),
     .help = "what is left between the two after matching",
     .example = "0.03 K standard"},
    {.key = "mounting",
     .kind = VALUE_CHOICE,
     .choices = mounting_words,
     .n_choices = LENGTH(mounting_words),
     .offset = offsetof(struct instrument, mounting),
     .help = "of an inlet or outlet thermometer; strapped on, it errs towards the air by 2 % of "
             "their difference, which is corrected",
     .example = "strapped on",
     .by_default = "immersed"},
    {.key = "mounting error",
     .kind = VALUE_ERROR,
     .offset = offsetof(struct instrument, mounting_error),
     .help = "of that share of the difference to the air",
     .example = "1 % standard",
     .by_default = "1 % standard if strapped on (our own figure)"},
    {.key = "stuck after",
     .kind = VALUE_TEXT,
     .offset = offsetof(struct instrument, stuck_text),
     .help = "a reading that stays exactly the same for this long is not used; or 'off'",
     .example = "45 min",
     .by_default = "30 min where its steps are fine, else off"},
    {.key = "spike",
     .kind = VALUE_TEXT,
     .offset = offsetof(struct instrument, spike_text),
     .help = "a single reading that lies further than this from those before and after it is not "
             "used; or 'off'",
     .example = "8 K",
     .by_default = "5 K for air and fluid, else off"},
    {.key = "id",
     .kind = VALUE_TEXT,
     .offset = offsetof(struct instrument, id),
     .help = "the same id in two tests is the same instrument",
     .example = "S-0117",
     .by_default = "the serial"},
    {.key = "swap",
     .kind = VALUE_TEXT,
     .offset = offsetof(struct instrument, swap),
     .help =
         "when it changed places with the same instrument of another collector, and that one's id",
     .example = "2026-06-16T11:30:00+01:00, FM-2"},
    {.key = "serial",
     .kind = VALUE_TEXT,
     .offset = offsetof(struct instrument, serial),
     .help = "serial number on the instrument",
     .example = "0117-22"},
    {.key = "certificate",
     .kind = VALUE_TEXT,
     .offset = offsetof(struct instrument, certificate),
     .help = "number of its calibration certificate",
     .example = "C-2026-031"},
    {.key = "calibrated",
     .kind = VALUE_DATE,
     .offset = offsetof(struct instrument, calibrated),
     .help = "day of its calibration, since which it drifts",
     .example = "2026-02-11"},
    {.key = "due",
     .kind = VALUE_DATE,
     .offset = offsetof(struct instrument, due),
     .help = "day by which it must be calibrated again; a test beyond it is said",
     .example = "2027-02-11"},
    {.key = "note",
     .kind = VALUE_TEXT,
     .offset = offsetof(struct instrument, note),
     .help = "anything that the report should repeat",
     .example = "on the frame's upper edge"},
};

const struct schema instrument_schema = {
    "instrument", true, "One measuring instrument and its errors.", rows, LENGTH(rows)};
