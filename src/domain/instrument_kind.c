#include "domain/instrument_kind.h"

#include <math.h>

#define BIT(channel) (1U << (channel))
#define SUN                                                                                        \
    (BIT(CH_IRRADIANCE) | BIT(CH_DIFFUSE) | BIT(CH_GLOBAL) | BIT(CH_LEVEL_DIFFUSE))
#define WATER (BIT(CH_INLET) | BIT(CH_OUTLET))
#define METER (BIT(CH_FLOW) | BIT(CH_MASS_FLOW))
#define HEAT (WATER | BIT(CH_AMBIENT))
#define GAIN SHIFT_GAIN
#define OFFSET SHIFT_OFFSET

#define USUAL NULL /* the cure of the channel, error_slots.c */

#define FLOW_BESIDE "measure the flow beside it, with a run 'bucket and stopwatch'"
/* Largest permitted errors are added up, %: of the flow sensor at a tenth of its nominal flow, of
 * the pair 0.5 + 3 d, of the calculator 0.5 + d, where d is the smallest permitted rise by the
 * rise, taken as 1/3; rounded up. */
#define MID(flow) "EN 1434-1, " flow " % of flow and 2.3 % of pair and calculator [memory]"
#define PRACTICE "common practice, no source"
#define ISO(item) "ISO 9060:2018, " item " [memory]"
#define FACTOR "usual certificate, k=1; " PRACTICE

/* What ISO 9060:2018 lists for a class, in its order, with a usual certificate before it. Zero b is
 * met by air that changes by 5 K an hour, zero a by a net heat radiation of -200 W/m2, the
 * direction by a beam of 1000 W/m2. Its response time is no error of a mean, and its total zero is
 * no further error beside a, b and the signal's. How each is taken: docs/methods.md,
 * "Pyranometers". */
#define CLASS(factor, year, linear, beam, spectrum, heat, slope, processing, a, b)                 \
    {                                                                                              \
        {SLOT_CALIBRATION, GAIN, factor, SHAPE_STANDARD, FACTOR},                                  \
            {SLOT_AGEING, GAIN, year, SHAPE_LIMIT, ISO("non-stability")},                          \
            {SLOT_LINEARITY, GAIN, linear, SHAPE_LIMIT, ISO("non-linearity")},                     \
            {SLOT_DIRECTION, SHIFT_DIRECTION, beam, SHAPE_LIMIT, ISO("directional response")},     \
            {SLOT_SPECTRUM, GAIN, spectrum, SHAPE_LIMIT, ISO("spectral error, clear sky")},        \
            {SLOT_TEMPERATURE, GAIN, heat, SHAPE_LIMIT, ISO("temperature response")},              \
            {SLOT_TILT, GAIN, slope, SHAPE_LIMIT, ISO("tilt response")},                           \
            {SLOT_SIGNAL, OFFSET, processing, SHAPE_LIMIT, ISO("signal processing")},              \
            {SLOT_THERMAL, OFFSET, a, SHAPE_LIMIT, ISO("zero offset a")},                          \
            {SLOT_ZERO, OFFSET, b, SHAPE_LIMIT, ISO("zero offset b")},                             \
    }

const struct instrument_kind instrument_kinds[] = {
    {"pyranometer class A",
     SUN,
     "thermopile pyranometer, class A of ISO 9060:2018 (secondary standard before)",
     "have it calibrated and state the certificate's figure as 'calibration'",
     CLASS(0.008, 0.008, 0.005, 10.0, 0.005, 0.010, 0.005, 2.0, 7.0, 2.0)},
    {"pyranometer class B",
     SUN,
     "thermopile pyranometer, class B of ISO 9060:2018 (first class before)",
     "have it calibrated, or compare it with a class A one for a clear day",
     CLASS(0.010, 0.015, 0.010, 20.0, 0.010, 0.020, 0.020, 5.0, 15.0, 4.0)},
    {"pyranometer class C",
     SUN,
     "thermopile pyranometer, class C of ISO 9060:2018 (second class before)",
     "compare it with a better one for a clear day",
     CLASS(0.015, 0.030, 0.030, 30.0, 0.050, 0.040, 0.050, 10.0, 30.0, 8.0)},
    {"silicon sun sensor",
     SUN,
     "photodiode or small reference cell; its spectrum is not the absorber's",
     "compare it with a pyranometer for a clear day, in the plane of the collector",
     {{SLOT_CALIBRATION, GAIN, 0.05, SHAPE_LIMIT, "usual data sheets; " PRACTICE},
      {SLOT_DRIFT, GAIN, 0.03, SHAPE_LIMIT, "spectrum and temperature of the day; " PRACTICE}}},
    {"calibrated resistance thermometer",
     HEAT,
     "platinum sensor and its meter, calibrated together with a certificate",
     USUAL,
     {{SLOT_CALIBRATION, OFFSET, 0.05, SHAPE_STANDARD, "0.1 K k=2; " PRACTICE},
      {SLOT_RESOLUTION, OFFSET, 0.01, SHAPE_STEP, PRACTICE}}},
    {"resistance thermometer class A",
     HEAT,
     "platinum sensor within class A tolerance, not calibrated",
     USUAL,
     {{SLOT_CALIBRATION, OFFSET, 0.25, SHAPE_LIMIT,
       "IEC 60751, 0.15 K + 0.002 |t| at 50 degC [memory]"},
      {SLOT_RESOLUTION, OFFSET, 0.01, SHAPE_STEP, PRACTICE}}},
    {"resistance thermometer class B",
     HEAT,
     "platinum sensor within class B tolerance, not calibrated",
     USUAL,
     {{SLOT_CALIBRATION, OFFSET, 0.55, SHAPE_LIMIT,
       "IEC 60751, 0.30 K + 0.005 |t| at 50 degC [memory]"},
      {SLOT_RESOLUTION, OFFSET, 0.01, SHAPE_STEP, PRACTICE}}},
    {"digital thermometer",
     HEAT,
     "one-chip digital sensor as bought, not calibrated",
     USUAL,
     {{SLOT_CALIBRATION, OFFSET, 0.5, SHAPE_LIMIT, "usual data sheets; " PRACTICE},
      {SLOT_RESOLUTION, OFFSET, 0.0625, SHAPE_STEP, "12 bits over 256 K; " PRACTICE}}},
    {"thermocouple type K",
     HEAT,
     "type K wire of class 2 with the cold junction of a usual logger",
     USUAL,
     {{SLOT_CALIBRATION, OFFSET, 2.5, SHAPE_LIMIT, "IEC 60584-1, class 2 [memory]"},
      {SLOT_ZERO, OFFSET, 0.5, SHAPE_LIMIT, "cold junction; " PRACTICE},
      {SLOT_RESOLUTION, OFFSET, 0.1, SHAPE_STEP, PRACTICE}}},
    {"thermocouple type T",
     HEAT,
     "type T wire of class 2 with the cold junction of a usual logger",
     USUAL,
     {{SLOT_CALIBRATION, OFFSET, 1.0, SHAPE_LIMIT, "IEC 60584-1, class 2 [memory]"},
      {SLOT_ZERO, OFFSET, 0.5, SHAPE_LIMIT, "cold junction; " PRACTICE},
      {SLOT_RESOLUTION, OFFSET, 0.1, SHAPE_STEP, PRACTICE}}},
    {"shaded air thermometer",
     BIT(CH_AMBIENT),
     "any sensor in a home-made shade without a fan",
     "draw air over it with a small fan, shaded from sun and sky",
     {{SLOT_CALIBRATION, OFFSET, 0.5, SHAPE_LIMIT, PRACTICE},
      {SLOT_ZERO, OFFSET, 1.0, SHAPE_LIMIT, "sun on the shade; " PRACTICE}}},
    {"calibrated flow meter",
     METER,
     "magnetic, Coriolis or ultrasonic meter with a certificate",
     "state the certificate's figure at the test's flow as 'calibration'",
     {{SLOT_CALIBRATION, GAIN, 0.005, SHAPE_STANDARD, "1 % k=2; " PRACTICE}}},
    {"water meter with pulses",
     BIT(CH_FLOW),
     "household water meter with a pulse output, at half of its nominal flow or more",
     USUAL,
     {{SLOT_CALIBRATION, GAIN, 0.02, SHAPE_LIMIT, "ISO 4064-1, class 2, upper zone [memory]"}}},
    {"pulse flow meter",
     BIT(CH_FLOW),
     "cheap turbine with a Hall sensor, as bought",
     USUAL,
     {{SLOT_CALIBRATION, GAIN, 0.10, SHAPE_LIMIT, "usual data sheets; " PRACTICE},
      {SLOT_DRIFT, GAIN, 0.01, SHAPE_LIMIT, "warm and cold water; " PRACTICE}}},
    {"variable area flow meter",
     BIT(CH_FLOW),
     "float in a glass tube, read by eye near the top of its scale",
     USUAL,
     {{SLOT_CALIBRATION, GAIN, 0.04, SHAPE_LIMIT, "usual data sheets; " PRACTICE},
      {SLOT_READING, GAIN, 0.02, SHAPE_LIMIT, "reading by eye; " PRACTICE}}},
    {"bucket and stopwatch",
     METER,
     "bucket on a kitchen scale, filled for two minutes or longer",
     "fill for longer, and weigh a known volume on the scale",
     {{SLOT_CALIBRATION, GAIN, 0.005, SHAPE_LIMIT, "scale; " PRACTICE},
      {SLOT_READING, GAIN, 0.01, SHAPE_LIMIT, "start and stop by hand; " PRACTICE}}},
    {"cup anemometer",
     BIT(CH_WIND),
     "small cup anemometer, not calibrated",
     "compare it with another one at the same place",
     {{SLOT_CALIBRATION, GAIN, 0.05, SHAPE_LIMIT, "usual data sheets; " PRACTICE},
      {SLOT_OFFSET, OFFSET, 0.5, SHAPE_LIMIT, "starting speed; " PRACTICE}}},
    {"infrared thermometer",
     BIT(CH_SKY),
     "hand-held or built in, looks along the collector's normal past sun and houses",
     "compare it with a pyrgeometer, or with a bucket of iced water for its zero",
     {{SLOT_CALIBRATION, OFFSET, 5.0, SHAPE_LIMIT,
       "2 K by usual data sheets; the clear sky looks colder in its window; " PRACTICE}}},
    {"pyrgeometer",
     BIT(CH_LONGWAVE),
     "thermopile under a silicon window, in the collector's plane",
     "have it calibrated and state the certificate's figure as 'calibration'",
     {{SLOT_CALIBRATION, GAIN, 0.05, SHAPE_LIMIT, "usual data sheets; " PRACTICE}}},
    {"heat meter class 2",
     BIT(CH_METERED),
     "flow sensor, pair of thermometers and calculator of class 2, rise of 9 K or more, water",
     FLOW_BESIDE,
     {{SLOT_CALIBRATION, GAIN, 0.05, SHAPE_LIMIT, MID("2 + 0.2")}}},
    {"heat meter class 3",
     BIT(CH_METERED),
     "the same of class 3",
     FLOW_BESIDE,
     {{SLOT_CALIBRATION, GAIN, 0.06, SHAPE_LIMIT, MID("3 + 0.5")}}},
    {"angle finder",
     BIT(CH_INCIDENCE) | BIT(CH_TILT),
     "shadow of a pin on a scale, or sun's place and a spirit level",
     "use a longer pin, square to the glass",
     {{SLOT_OFFSET, OFFSET, 0.017453292519943295, SHAPE_LIMIT, "1 degree; " PRACTICE}}},
};

const char *const instrument_kind_names[] = {
    "pyranometer class A",
    "pyranometer class B",
    "pyranometer class C",
    "silicon sun sensor",
    "calibrated resistance thermometer",
    "resistance thermometer class A",
    "resistance thermometer class B",
    "digital thermometer",
    "thermocouple type K",
    "thermocouple type T",
    "shaded air thermometer",
    "calibrated flow meter",
    "water meter with pulses",
    "pulse flow meter",
    "variable area flow meter",
    "bucket and stopwatch",
    "cup anemometer",
    "infrared thermometer",
    "pyrgeometer",
    "heat meter class 2",
    "heat meter class 3",
    "angle finder",
};

const size_t instrument_kinds_n = INSTRUMENT_KINDS;
_Static_assert(sizeof instrument_kinds / sizeof instrument_kinds[0] == INSTRUMENT_KINDS, "kinds");
_Static_assert(sizeof instrument_kind_names / sizeof instrument_kind_names[0] == INSTRUMENT_KINDS,
               "names");

static const char *const slot_words[SLOT_COUNT] = {
    [SLOT_CALIBRATION] = "calibration", [SLOT_AGEING] = "ageing",
    [SLOT_LINEARITY] = "linearity",     [SLOT_DIRECTION] = "direction",
    [SLOT_SPECTRUM] = "spectrum",       [SLOT_TEMPERATURE] = "temperature",
    [SLOT_TILT] = "tilt",               [SLOT_OFFSET] = "offset",
    [SLOT_SIGNAL] = "signal",           [SLOT_THERMAL] = "thermal",
    [SLOT_ZERO] = "zero",               [SLOT_DRIFT] = "drift",
    [SLOT_RESOLUTION] = "resolution",   [SLOT_READING] = "reading"};

const char *slot_word(enum error_slot slot)
{
    return slot_words[slot];
}

double figure_u(const struct kind_figure *figure)
{
    switch (figure->shape) {
    case SHAPE_LIMIT:
        return figure->value / sqrt(3.0);
    case SHAPE_STEP:
        return figure->value / sqrt(12.0);
    case SHAPE_STANDARD:
        break;
    }
    return figure->value;
}

bool kind_measures(const struct instrument_kind *kind, enum channel channel)
{
    return (kind->channels & BIT(channel)) != 0;
}
