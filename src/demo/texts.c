#include "demo/texts.h"

#include "demo/sensors.h"
#include "demo/truth.h"

#define INVENTED                                                                                   \
    "# Invented for the program's demo: no such collector, place or instrument exists.\n"

static void add_error(const char *key, const struct sensor_error *error, struct text *out)
{
    if (error->text != NULL)
        text_addf(out, "%-11s = %s\n", key, error->text);
}

/* Differences of temperature are in K. */
static const char *step_unit(const struct sensor_row *row)
{
    return row->channel == CH_AMBIENT || row->channel == CH_INLET || row->channel == CH_OUTLET
               ? "K"
               : row->unit;
}

/* Errors that hold however the instrument is read. */
static void add_errors(const struct sensor_row *row, struct text *out)
{
    add_error("calibration", &row->gain, out);
    add_error("calibration", &row->offset, out);
    if (row->matched_to != NULL)
        text_addf(out, "%-11s = %s\n", "matched to", row->matched_to);
    add_error("pair", &row->pair, out);
    add_error("zero", &row->zero, out);
}

static void add_instrument(const struct sensor_row *row, const char *word, struct text *out)
{
    text_addf(out, "\n[instrument %s]\n%-11s = %s\n", row->section, "measures", word);
    text_addf(out, "%-11s = %s\n%-11s = %s\n", "column", row->column, "unit", row->unit);
    if (row->kind != NULL)
        text_addf(out, "%-11s = %s\n", "kind", row->kind);
    add_errors(row, out);
    if (!row->step_of_kind)
        text_addf(out, "%-11s = %.4g %s\n", "resolution", row->step, step_unit(row));
    if (row->id[0] != '\0')
        text_addf(out, "%-11s = %s\n", "id", row->id);
    if (row->calibrated != NULL)
        text_addf(out, "%-11s = %s\n", "calibrated", row->calibrated);
    text_addf(out, "%-11s = %s\n", "note", row->note);
}

static const struct {
    enum channel channel;
    const char *word;
    double by_hand; /* last digit that a pupil writes down, in the log's unit; 0: not written */
} measured[] = {
    {CH_IRRADIANCE, "irradiance", 1.0}, {CH_DIFFUSE, "diffuse", 0.0},
    {CH_INCIDENCE, "incidence", 0.0},   {CH_AMBIENT, "ambient", 0.1},
    {CH_WIND, "wind", 0.1},             {CH_INLET, "inlet", 0.01},
    {CH_OUTLET, "outlet", 0.01},        {CH_FLOW, "flow", 0.001},
};

enum { MEASURED = sizeof measured / sizeof measured[0] };

void texts_instruments(enum demo_collector collector, struct text *out)
{
    for (size_t i = 0; i < MEASURED; i++) {
        size_t k = sensor_of(collector, measured[i].channel);
        if (k < SENSOR_ROWS)
            add_instrument(sensor_row(k), measured[i].word, out);
    }
}

/* The same instruments without columns, read by eye. */
static void add_instruments_by_hand(struct text *out)
{
    for (size_t i = 0; i < MEASURED; i++) {
        if (measured[i].by_hand <= 0.0)
            continue;
        const struct sensor_row *row = sensor_row(sensor_of(DEMO_PLATE_A, measured[i].channel));
        text_addf(out, "\n[instrument %s]\n%-11s = %s\n", row->section, "measures",
                  measured[i].word);
        add_errors(row, out);
        text_addf(out, "%-11s = %.4g %s\n%-11s = %s\n", "resolution", measured[i].by_hand,
                  step_unit(row), "id", row->id);
    }
}

static const char *const plate_head =
    INVENTED
    "#\n"
    "# One of two plates from a workshop course, tested side by side on one rack.\n"
    "#\n"
    "# Lines that start with '#' are remarks. Every quantity carries its unit, and every error\n"
    "# says what it means: 'k=2' is a certificate's expanded uncertainty, 'standard' is one\n"
    "# standard deviation, 'limit' is a bound that is never passed. What is stated takes the\n"
    "# place of the documented figure of the instrument's kind; its other figures stay.\n"
    "\n"
    "[collector]\n"
    "name          = %s\n"
    "gross area    = 2.05 m2            # outside of the frame\n"
    "aperture area = 1.92 m2            # glass opening\n"
    "area error    = 0.3 %% standard     # a steel tape, both diagonals\n"
    "surface       = %s\n"
    "\n"
    "# What it is made of: for 'etabench predict', which lays it beside the measurement.\n"
    "[cover]\n"
    "glazing       = low-iron glass\n"
    "gap           = 30 mm\n"
    "\n"
    "[absorber]\n"
    "%s"
    "material      = copper\n"
    "thickness     = 0.3 mm\n"
    "\n"
    "[tubes]\n"
    "layout        = serpentine\n"
    "number        = 8\n"
    "spacing       = 120 mm\n"
    "length        = 1.95 m\n"
    "outside diameter = 10 mm\n"
    "inside diameter  = 8.4 mm\n"
    "\n"
    "[bond]\n"
    "kind          = soldered\n"
    "\n"
    "[back]\n"
    "material      = mineral wool\n"
    "thickness     = 50 mm\n"
    "\n"
    "[edge]\n"
    "material      = mineral wool\n"
    "thickness     = 25 mm\n"
    "height        = 70 mm\n"
    "\n"
    "[site]\n"
    "name          = Workshop yard\n"
    "latitude      = 46.5 deg\n"
    "longitude     = 7.1 deg\n"
    "altitude      = 620 m\n"
    "# The rack is turned by hand towards the sun every half hour: no fixed tilt or azimuth.\n"
    "# A cold sky draws heat from the glass. Nothing measured it; it was clear on both days.\n"
    "sky           = Swinbank 1963\n"
    "\n"
    "[fluid]\n"
    "name          = water\n"
    "meter at      = inlet              # where the flow meter sits: its water has that density\n"
    "\n"
    "[log]\n"
    "file          = day1.csv           # 20 and 41 degC in\n"
    "file          = day2.csv           # 62 and 85 degC in\n"
    "time          = Date + Time, %%d/%%m/%%Y %%H:%%M:%%S, UTC+1\n"
    "missing       = NAN\n"
    "\n"
    "# The first five instruments stand between the two plates and serve both: the same id in two\n"
    "# descriptions is the same instrument, and its error the same in both tests.\n";

static const char *const plate_tail =
    "\n"
    "[steady state]\n"
    "rules         = ISO 9806:2017\n"
    "# Every limit can be loosened or tightened here; the report prints every value used:\n"
    "# wind        = 1 to 5 m/s\n"
    "\n"
    "[report]\n"
    "client        = the workshop's course\n"
    "item          = as built, glass without scratches\n"
    "laboratory    = the workshop, yard\n"
    "# signatory   = who answers for it; what is not stated is printed as 'not stated'\n"
    "\n"
    "[run curve]\n"
    "kind          = efficiency\n";

static const char *const rig_head =
    INVENTED
    "#\n"
    "# A homemade collector in a garden: water from a bucket that a heating rod keeps warm, a\n"
    "# cheap logger, thermometers that were never calibrated. Wind, diffuse light and angle were\n"
    "# not measured.\n"
    "\n"
    "[collector]\n"
    "name          = %s\n"
    "gross area    = 1.10 m2\n"
    "aperture area = 0.98 m2\n"
    "area error    = 0.3 %% standard\n"
    "\n"
    "[fluid]\n"
    "name          = water\n"
    "meter at      = inlet\n"
    "\n"
    "[log]\n"
    "file          = rig.csv\n"
    "time          = time, ISO 8601, UTC+1\n"
    "separator     = semicolon\n"
    "decimal       = comma              # 23,4 and not 23.4\n"
    "\n"
    "# Without certificates 'kind' fills in documented figures, which the report lists. A digital\n"
    "# thermometer is within 0.5 K: two of them can differ by a whole kelvin. Hanging both in one\n"
    "# bucket of water for ten minutes would tell by how much.\n";

static const char *const rig_tail =
    "\n"
    "[steady state]\n"
    "rules         = homemade rig       # wider limits than a laboratory's; the report says so\n"
    "\n"
    "[run curve]\n"
    "kind          = efficiency\n";

static const char *const bucket_head =
    INVENTED
    "#\n"
    "# The quick test that many people try: water from a bucket is pumped through a homemade\n"
    "# collector while a heating rod without a thermostat warms the bucket from the air's\n"
    "# temperature to 40 K above it, within an hour. All the time the collector itself warms\n"
    "# by about 0.7 K a minute, and what it stores never reaches the outlet: nearly an eighth of\n"
    "# the sunshine. The program adds it back, from a heat capacity and the slope of the\n"
    "# water's temperature, and counts how badly that capacity is known.\n"
    "\n"
    "[collector]\n"
    "name          = %s\n"
    "gross area    = 1.02 m2\n"
    "aperture area = 0.97 m2\n"
    "area error    = 0.3 %% standard\n"
    "construction  = homemade flat plate   # 8 +- 4 kJ/(m2 K); measured: 'heat capacity = ...'\n"
    "\n"
    "[fluid]\n"
    "name          = water\n"
    "meter at      = inlet\n"
    "\n"
    "[log]\n"
    "file          = bucket.csv\n"
    "time          = time, ISO 8601, UTC+1\n"
    "separator     = semicolon\n"
    "decimal       = comma\n";

static const char *const bucket_tail =
    "\n"
    "[steady state]\n"
    "rules            = homemade rig\n"
    "# The water may warm; sunshine, air and flow must stay steady all the same.\n"
    "inlet deviation  = off\n"
    "outlet deviation = off\n"
    "outlet drift     = 1 K/min\n"
    "\n"
    "[run curve]\n"
    "kind             = efficiency\n";

void texts_description(enum demo_collector collector, struct text *out)
{
    const char *name = demo_collector_row(collector)->name;
    if (collector == DEMO_RIG)
        text_addf(out, rig_head, name);
    else if (collector == DEMO_BUCKET)
        text_addf(out, bucket_head, name);
    else
        text_addf(out, plate_head, name, collector == DEMO_PLATE_A ? "black" : "selective",
                  collector == DEMO_PLATE_A ? "surface       = stove paint\n"
                                            : "absorptance   = 0.91       # of a sample\n"
                                              "emittance     = 0.12\n");
    texts_instruments(collector, out);
    text_add(out, collector == DEMO_RIG      ? rig_tail
                  : collector == DEMO_BUCKET ? bucket_tail
                                             : plate_tail);
}

static const char *const class_head =
    INVENTED
    "#\n"
    "# A class has read its instruments by eye and typed what it wrote down: no log,\n"
    "# but a table of points (points.csv), each with the name of the group that took\n"
    "# it. The instruments have no columns here, only their errors.\n"
    "\n"
    "[collector]\n"
    "name          = %s\n"
    "gross area    = 2.05 m2\n"
    "aperture area = 1.92 m2\n"
    "area error    = 0.3 %% standard\n"
    "surface       = black\n"
    "\n"
    "[site]\n"
    "sky           = Swinbank 1963      # clear, but nobody measured how cold it was\n"
    "\n"
    "[fluid]\n"
    "name          = water\n"
    "meter at      = inlet\n"
    "\n"
    "[points]\n"
    "file          = points.csv\n";

static const char *const glycol_head =
    INVENTED
    "#\n"
    "# Plate A once more, in a closed loop with antifreeze; the means of ten minutes were typed\n"
    "# by hand. Whether the fraction is by volume (litres) or by mass (a certificate's scale) is\n"
    "# never guessed. By hand nobody knows better than two points of a hundred what is in a loop\n"
    "# that was topped up, and published tables of glycol differ: both are counted, and\n"
    "# together they are most of what is uncertain here. What is known better can be stated here:\n"
    "#   fraction error = 0.5 %% standard\n"
    "#   cp error       = 0.5 %% standard\n"
    "\n"
    "[collector]\n"
    "name          = %s, antifreeze\n"
    "gross area    = 2.05 m2\n"
    "aperture area = 1.92 m2\n"
    "area error    = 0.3 %% standard\n"
    "surface       = black\n"
    "\n"
    "[site]\n"
    "sky           = Swinbank 1963      # clear\n"
    "\n"
    "[fluid]\n"
    "name          = propylene glycol\n"
    "fraction      = %.0f %% by volume\n"
    "meter at      = inlet\n"
    "\n"
    "[points]\n"
    "file          = glycol.csv\n";

static const char *const points_tail = "\n"
                                       "[run curve]\n"
                                       "kind          = efficiency\n";

void texts_class(struct text *out)
{
    text_addf(out, class_head, demo_collector_row(DEMO_PLATE_A)->name);
    add_instruments_by_hand(out);
    text_add(out, points_tail);
}

void texts_glycol(struct text *out)
{
    text_addf(out, glycol_head, demo_collector_row(DEMO_PLATE_A)->name, 100.0 * DEMO_FRACTION);
    add_instruments_by_hand(out);
    text_add(out, points_tail);
}
