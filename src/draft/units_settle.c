#include "draft/units_settle.h"

#include "base/numbers.h"
#include "draft/totals.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Our own figures. Air at a test in degC, degF and K; the freezing of water in degF, its boiling in
 * degC; air that is hot, and further above the coldest water than in a test (as in
 * run/units_document.c); the smallest and largest product of area and efficiency, m2, of what one
 * person tests. */
#define AIR_MOST_DEGC 48.0
#define AIR_HOT_DEGC 35.0
#define AIR_ABOVE_WATER_K 15.0
#define AIR_LEAST_DEGF 20.0
#define AIR_MOST_DEGF 125.0
#define AIR_LEAST_K 240.0
#define AIR_MOST_K 325.0
#define BOILING 100.0
#define FREEZING_DEGF 32.0
#define AREA_LEAST 0.15
#define AREA_MOST 8.0

/* Water at 40 degC, J/(m3 K), to a percent: enough to part units. */
#define WATER 4.15e6

enum { ROWS_ENOUGH = 3, PULSES_TOLD = 30 };

static const enum channel thermometers[] = {CH_AMBIENT, CH_INLET, CH_OUTLET};
enum { THERMOMETERS = sizeof thermometers / sizeof thermometers[0] };

static bool lacks_unit(const struct draft_column *column)
{
    return column != NULL && column->guess.unit == NULL && !column->guess.raw &&
           column->measure.n > 0;
}

static void set_unit(struct draft_column *column, const char *unit, const char *why)
{
    struct guess *guess = &column->guess;
    guess->unit = unit_find(unit, channel_row(guess->channel)->dimension);
    guess->unit_ask[0] = '\0';
    snprintf(guess->unit_why, sizeof guess->unit_why, "%s", why);
}

/* A unit that another thermometer of the log states. */
static const struct unit *stated_elsewhere(const struct draft_log *log)
{
    for (size_t i = 0; i < THERMOMETERS; i++) {
        const struct draft_column *column = draft_log_column(log, thermometers[i]);
        if (column != NULL && column->guess.unit != NULL && column->guess.by != GUESS_BY_NUMBERS)
            return column->guess.unit;
    }
    return NULL;
}

/* What the numbers of the air and of the water exclude. */
struct temperature_signs {
    const struct draft_column *air;
    const struct draft_column *ice; /* water that would be ice in degF; NULL: none */
    double coldest;                 /* of the water */
    double least;                   /* of all thermometers */
    double most;
};

static struct temperature_signs look_at_temperatures(const struct draft_log *log)
{
    struct temperature_signs signs = {.coldest = INFINITY, .least = INFINITY, .most = -INFINITY};
    for (size_t i = 0; i < THERMOMETERS; i++) {
        const struct draft_column *column = draft_log_column(log, thermometers[i]);
        if (column == NULL || column->measure.n == 0)
            continue;
        if (thermometers[i] == CH_AMBIENT)
            signs.air = column;
        else if (signs.ice == NULL && column->measure.least < FREEZING_DEGF)
            signs.ice = column;
        if (thermometers[i] != CH_AMBIENT)
            signs.coldest = fmin(signs.coldest, column->measure.least);
        signs.least = fmin(signs.least, column->measure.least);
        signs.most = fmax(signs.most, column->measure.most);
    }
    return signs;
}

/* Where the numbers contradict each other, or every unit.
 * Out: ask   what to ask. Returns: whether it is to be asked. */
static bool contradicts(const struct temperature_signs *signs, const struct unit *other,
                        char ask[GUESS_WHY_SIZE])
{
    double air = signs->air == NULL ? NAN : signs->air->measure.middle;
    if (air > AIR_MOST_DEGF && !(air > AIR_LEAST_K && air < AIR_MOST_K)) {
        snprintf(ask, GUESS_WHY_SIZE,
                 "degC, degF or K: air of %g is none of them (tenths of a degree? then degC and "
                 "'gain = 0.1')",
                 air);
        return true;
    }
    bool said_degC = other != NULL && text_same(other->name, "degC");
    if (air > AIR_MOST_DEGC && air <= AIR_MOST_DEGF && (signs->ice != NULL || said_degC)) {
        if (signs->ice != NULL)
            snprintf(ask, GUESS_WHY_SIZE,
                     "degC or degF: air of %g is not in degC, but water of %g would be ice in degF",
                     air, signs->ice->measure.least);
        else
            snprintf(ask, GUESS_WHY_SIZE,
                     "degC or degF: air of %g is not in degC, as another thermometer is", air);
        return true;
    }
    if (air > AIR_HOT_DEGC && air <= AIR_MOST_DEGC && air - signs->coldest > AIR_ABOVE_WATER_K &&
        (signs->ice != NULL || said_degC)) {
        snprintf(ask, GUESS_WHY_SIZE,
                 "degC or degF: air of %g is hot in degC beside water of %g, and would be %.0f "
                 "degC in degF",
                 air, signs->coldest, (air - 32.0) / 1.8);
        return true;
    }
    return false;
}

/* Out: why   the reason. Returns: "degF", "degC", "K", or NULL where more are possible. */
static const char *temperature_unit(const struct temperature_signs *signs, const struct unit *other,
                                    char why[GUESS_WHY_SIZE])
{
    double air = signs->air == NULL ? NAN : signs->air->measure.middle;
    if (other != NULL) {
        snprintf(why, GUESS_WHY_SIZE, "another thermometer of this log says it");
        return other->name;
    }
    if (air > AIR_LEAST_K && signs->least > AIR_LEAST_K) {
        snprintf(why, GUESS_WHY_SIZE, "air of %g is neither in degC nor in degF", air);
        return "K";
    }
    if (air > AIR_MOST_DEGC) {
        snprintf(why, GUESS_WHY_SIZE, "air of %g is not in degC", air);
        return "degF";
    }
    if (air < AIR_LEAST_DEGF) {
        snprintf(why, GUESS_WHY_SIZE, "air of %g in sunshine is hardly in degF", air);
        return "degC";
    }
    if (signs->ice == NULL)
        return NULL;
    snprintf(why, GUESS_WHY_SIZE, "water of %g would be ice in degF", signs->ice->measure.least);
    return "degC";
}

/* Numbers that a Pt100 or Pt1000 gives in ohm, and that water has in degC only under pressure. */
static bool ask_resistance(struct draft_column *column, const char *unit)
{
    double least = column->measure.least;
    const char *sensor = least >= BOILING && column->measure.most < 160.0   ? "Pt100"
                         : least >= 1000.0 && column->measure.most < 1600.0 ? "Pt1000"
                                                                            : NULL;
    if (sensor == NULL || !text_same(unit, "degC") || column->guess.channel == CH_AMBIENT)
        return false;
    snprintf(column->guess.unit_ask, sizeof column->guess.unit_ask,
             "degC, or ohm (with 'resistance = %s'): numbers from %g to %g are those of such a "
             "sensor at 0 to 150 degC",
             sensor, least, column->measure.most);
    return true;
}

/* "TinF": the last letter may be the unit, against what another thermometer says. */
static bool ends_otherwise(const struct draft_log *log, enum channel channel, const char *unit)
{
    const char *name = log->sample.head.name[log->chosen[channel]];
    size_t n = strlen(name);
    if (n < 2 || name[n - 2] < 'a' || name[n - 2] > 'z')
        return false;
    return (name[n - 1] == 'F' && !text_same(unit, "degF")) ||
           (name[n - 1] == 'K' && !text_same(unit, "K")) ||
           (name[n - 1] == 'C' && !text_same(unit, "degC"));
}

static void settle_temperatures(struct draft_log *log)
{
    char why[GUESS_WHY_SIZE];
    char ask[GUESS_WHY_SIZE];
    struct temperature_signs signs = look_at_temperatures(log);
    const struct unit *other = stated_elsewhere(log);
    bool asked = contradicts(&signs, other, ask);
    const char *unit = asked ? NULL : temperature_unit(&signs, other, why);
    for (size_t i = 0; i < THERMOMETERS; i++) {
        struct draft_column *column = draft_log_column(log, thermometers[i]);
        if (!lacks_unit(column) || column->guess.unit_ask[0] != '\0')
            continue;
        if (asked)
            snprintf(column->guess.unit_ask, sizeof column->guess.unit_ask, "%s", ask);
        else if (unit == NULL)
            snprintf(column->guess.unit_ask, sizeof column->guess.unit_ask,
                     "degC or degF: numbers from %g to %g can be either", column->measure.least,
                     column->measure.most);
        else if (ends_otherwise(log, thermometers[i], unit))
            snprintf(column->guess.unit_ask, sizeof column->guess.unit_ask,
                     "what the last letter of its name says, or %s (%s)", unit, why);
        else if (!ask_resistance(column, unit))
            set_unit(column, unit, why);
    }
}

static bool is_us(const struct draft_log *log)
{
    const struct draft_column *air = draft_log_column(log, CH_AMBIENT);
    return air != NULL && air->guess.unit != NULL && text_same(air->guess.unit->name, "degF");
}

static void settle_sun(struct draft_log *log)
{
    struct draft_column *sun = draft_log_column(log, CH_IRRADIANCE);
    char why[GUESS_WHY_SIZE];
    if (!lacks_unit(sun) || sun->guess.unit_ask[0] != '\0')
        return;
    double most = sun->measure.most;
    snprintf(why, sizeof why, "up to %g, as sunshine in", most);
    size_t n = strlen(why);
    if (most > 380.0 && most < 1600.0) {
        snprintf(why + n, sizeof why - n, " W/m2");
        set_unit(sun, "W/m2", why);
    } else if (most > 0.3 && most < 1.6) {
        snprintf(why + n, sizeof why - n, " kW/m2");
        set_unit(sun, "kW/m2", why);
    } else if (most > 100.0 && most <= 380.0) {
        snprintf(sun->guess.unit_ask, sizeof sun->guess.unit_ask,
                 "%s: up to %g is a dull day in W/m2 and a clear one in BTU/(h ft2)",
                 is_us(log) ? "BTU/(h ft2) or W/m2" : "W/m2 or BTU/(h ft2)", most);
    }
}

/* The diffuse light beside the sunshine, and angles that are too large for radians. */
static void settle_light(struct draft_log *log)
{
    const struct draft_column *sun = draft_log_column(log, CH_IRRADIANCE);
    struct draft_column *diffuse = draft_log_column(log, CH_DIFFUSE);
    struct draft_column *angle = draft_log_column(log, CH_INCIDENCE);
    if (lacks_unit(diffuse) && sun != NULL && sun->guess.unit != NULL &&
        diffuse->measure.most > 0.02 * sun->measure.most &&
        diffuse->measure.most < 1.1 * sun->measure.most)
        set_unit(diffuse, sun->guess.unit->name, "as the sunshine beside it");
    if (lacks_unit(angle) && angle->measure.most > 3.2)
        set_unit(angle, "deg", "in radians no angle is so large");
}

/* Area times efficiency, m2, if the flow were in `unit`: the mean over sunny rows with a rise.
 * NAN where the rows do not tell. */
static double area_by_heat(const struct draft_log *log, const struct unit *unit)
{
    double heat = 0.0, sun = 0.0;
    size_t n = 0;
    for (size_t row = 0; row < log->sample.n_rows; row++) {
        double flow = unit_absolute(unit, draft_log_number(log, CH_FLOW, row));
        double rise = draft_log_si(log, CH_OUTLET, row) - draft_log_si(log, CH_INLET, row);
        double g_W_m2 = draft_log_si(log, CH_IRRADIANCE, row);
        double now = flow * WATER * rise;
        if (!draft_log_sunny(log, row) || isnan(now) || !(g_W_m2 > 0.0) || rise < 0.3)
            continue;
        heat += now;
        sun += g_W_m2;
        n++;
    }
    return n >= ROWS_ENOUGH ? heat / sun : NAN;
}

struct flow_choice {
    const char *unit;
    double area; /* m2 times efficiency */
};

static const char *const flow_units[] = {"L/min", "gal/min", "L/h", "m3/h", "L/s", "mL/min"};
enum { FLOW_UNITS = sizeof flow_units / sizeof flow_units[0] };

/* Returns: how many units a collector of a possible size leaves; SIZE_MAX if nothing tells. */
static size_t flow_choices(const struct draft_log *log, struct flow_choice *choice)
{
    size_t n = 0;
    for (size_t i = 0; i < FLOW_UNITS; i++) {
        double area = area_by_heat(log, unit_find(flow_units[i], DIM_VOLUME_FLOW));
        if (isnan(area))
            return SIZE_MAX;
        if (area >= AREA_LEAST && area <= AREA_MOST)
            choice[n++] = (struct flow_choice){flow_units[i], area};
    }
    return n;
}

/* Appends one more of n words: "a", "a or b", "a, b or c". */
static void add_choice(char *out, size_t size, size_t i, size_t n, const char *word)
{
    size_t length = strlen(out);
    const char *joint = i == 0 ? "" : i + 1 == n ? " or " : ", ";
    snprintf(out + length, size - length, "%s%s", joint, word);
}

/* The units that are left, and the size of collector that each of them gives. */
static void ask_flow(struct guess *guess, const struct flow_choice *choice, size_t n)
{
    char units[80] = "", areas[80] = "";
    for (size_t i = 0; i < n; i++) {
        char area[16];
        snprintf(area, sizeof area, "%.2g", choice[i].area);
        add_choice(units, sizeof units, i, n, choice[i].unit);
        add_choice(areas, sizeof areas, i, n, area);
    }
    snprintf(guess->unit_ask, sizeof guess->unit_ask,
             "%s: area times efficiency would be %s m2; which is your collector's?", units, areas);
}

static void settle_flow(struct draft_log *log)
{
    struct draft_column *flow = draft_log_column(log, CH_FLOW);
    struct flow_choice choice[FLOW_UNITS];
    char why[GUESS_WHY_SIZE];
    if (!lacks_unit(flow) || flow->guess.unit_ask[0] != '\0')
        return;
    size_t n = flow_choices(log, choice);
    if (n == 1) {
        snprintf(why, sizeof why,
                 "the water's heat is then that of %.2g m2 at 100 %%; other units give no "
                 "collector's size",
                 choice[0].area);
        set_unit(flow, choice[0].unit, why);
    } else if (n >= 2 && n <= FLOW_UNITS) {
        ask_flow(&flow->guess, choice, n);
    }
}

/* A counter only rises. */
static void settle_pulses(struct draft_log *log)
{
    struct draft_column *flow = draft_log_column(log, CH_FLOW);
    if (flow == NULL || flow->guess.pulses == NULL || flow->measure.n < ROWS_ENOUGH ||
        !text_same(flow->guess.pulses->name, "pulses"))
        return;
    struct total_steps steps =
        totals_steps(log, log->value + (size_t)(flow - log->columns) * log->sample.n_rows);
    bool counter = flow->measure.counts || (steps.up >= PULSES_TOLD && totals_rises(&steps));
    snprintf(flow->guess.unit_why, sizeof flow->guess.unit_why, "%s",
             flow->measure.counts ? "its numbers never fall, as a counter's"
             : counter            ? "its numbers seldom fall: a counter that begins anew"
                                  : "its numbers fall: what came since the row before");
    if (!counter)
        flow->guess.pulses = unit_find("pulses per interval", DIM_PULSES);
}

/* Units that are stated, and a heat that no collector gives. */
static void doubt_heat(struct draft_log *log)
{
    const struct draft_column *flow = draft_log_column(log, CH_FLOW);
    if (flow == NULL || flow->guess.unit == NULL || guess_is_total(&flow->guess))
        return;
    double area = area_by_heat(log, flow->guess.unit);
    if (isnan(area) || (area >= AREA_LEAST / 5.0 && area <= AREA_MOST * 5.0))
        return;
    char size[32];
    draft_log_doubt(log,
                    "With these units the water carries away what %s m2 of collector would catch "
                    "at 100 %% efficiency: is the unit of the flow, of the sunshine or of a "
                    "temperature another one?",
                    number_significant(area, 2, size, sizeof size));
}

void units_settle(struct draft_log *log)
{
    settle_temperatures(log);
    settle_sun(log);
    settle_light(log);
    settle_flow(log);
    settle_pulses(log);
    doubt_heat(log);
}
