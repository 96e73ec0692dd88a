#include "run/heats.h"

#include "point/reading_errors.h"
#include "run/setup_point.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* The same windows by either way. */
struct ways {
    struct point_setup flow, meter;
};

static struct ways two_ways(const struct reduction *r)
{
    struct ways ways = {.flow = setup_point(&r->setup, BASIS_MEAN)};
    ways.flow.capacity_J_m2K = 0;
    memset(ways.flow.pipe_W_K, 0, sizeof ways.flow.pipe_W_K);
    ways.meter = ways.flow;
    ways.flow.heat_by_meter = false;
    ways.meter.heat_by_meter = true;
    return ways;
}

static double heat_W(const struct means *means, const struct point_setup *setup,
                     const struct shifts *shifts)
{
    struct point_value value;
    return point_evaluate(means, setup, shifts, &value) == POINT_OK ? value.heat_W : NAN;
}

/* What one standard uncertainty of a row does to both. */
struct effect {
    double flow_W, meter_W;
};

static struct effect effect_of(const struct means *means, const struct ways *ways,
                               const struct error_source *row)
{
    struct shifts up, down;
    if (!error_source_acts(row, means))
        return (struct effect){0, 0};
    memset(&up, 0, sizeof up);
    memset(&down, 0, sizeof down);
    shifts_add(&up, row, row->u);
    shifts_add(&down, row, -row->u);
    double flow = 0.5 * (heat_W(means, &ways->flow, &up) - heat_W(means, &ways->flow, &down));
    double meter = 0.5 * (heat_W(means, &ways->meter, &up) - heat_W(means, &ways->meter, &down));
    return (struct effect){isfinite(flow) ? flow : 0, isfinite(meter) ? meter : 0};
}

/* Sums over windows: of heats, and of what moves R times the sum of the flow's heats. */
struct sums {
    double flow_W, meter_W, rise_K, water, flow_m3_s;
    double variance_W2; /* of sum(meter - R flow) */
};

static void add_to_pair(struct heats_pair *pair, const struct effect *effect)
{
    double off = effect->meter_W - effect->flow_W;
    pair->u_flow_W = hypot(pair->u_flow_W, effect->flow_W);
    pair->u_meter_W = hypot(pair->u_meter_W, effect->meter_W);
    pair->u_difference_W = hypot(pair->u_difference_W, off);
}

static bool has_both(const struct heats_pair *pair)
{
    return isfinite(pair->flow_W) && isfinite(pair->meter_W);
}

/* A row that is one value for the test, or one a day: windows of a day follow each other. */
static double add_shared(const struct reduction *r, const struct ways *ways,
                         const struct error_source *row, struct heats *heats)
{
    double variance = 0, sum = 0;
    int64_t session = 0;
    for (size_t i = 0; i < heats->n; i++) {
        const struct means *means = &r->means.items[i];
        struct effect effect = effect_of(means, ways, row);
        add_to_pair(&heats->pairs[i], &effect);
        if (!has_both(&heats->pairs[i]))
            continue;
        if (row->kind == ERROR_SESSION && means->session != session) {
            variance += sum * sum;
            sum = 0;
        }
        session = means->session;
        sum += effect.meter_W - heats->ratio * effect.flow_W;
    }
    return variance + sum * sum;
}

/* What is new in each window. */
static double add_readings(const struct reduction *r, const struct ways *ways, size_t k,
                           struct heats *heats)
{
    double variance = 0;
    for (size_t i = 0; i < heats->n; i++) {
        const struct means *means = &r->means.items[i];
        struct error_source row;
        if (!reading_error(means, &r->setup.errors, k, &row))
            continue;
        struct effect effect = effect_of(means, ways, &row);
        add_to_pair(&heats->pairs[i], &effect);
        double off = effect.meter_W - heats->ratio * effect.flow_W;
        variance += has_both(&heats->pairs[i]) ? off * off : 0;
    }
    return variance;
}

/* Of a meter that takes this fluid for water, if its flow sensor reads right. */
static double water_share(const struct fluid *fluid, const struct fluid *water,
                          const struct means *means, bool at_outlet)
{
    double in = means->mean[CH_INLET], out = means->mean[CH_OUTLET];
    double at = at_outlet ? out : in, middle = 0.5 * (in + out);
    return fluid_density(water, at) * fluid_cp(water, middle) /
           (fluid_density(fluid, at) * fluid_cp(fluid, middle));
}

static void add_window(const struct reduction *r, const struct ways *ways,
                       const struct fluid *water, const struct means *means,
                       struct heats_pair *pair, struct sums *sums)
{
    *pair = (struct heats_pair){.flow_W = heat_W(means, &ways->flow, NULL),
                                .meter_W = heat_W(means, &ways->meter, NULL)};
    sums->water += water_share(&r->setup.fluid, water, means, ways->flow.meter_at_outlet);
    if (!has_both(pair))
        return;
    sums->flow_W += pair->flow_W;
    sums->meter_W += pair->meter_W;
    sums->rise_K += means->mean[CH_OUTLET] - means->mean[CH_INLET];
    sums->flow_m3_s += means->has[CH_FLOW] ? means->mean[CH_FLOW] : NAN;
}

static void blank_unknown(struct heats *heats)
{
    for (size_t i = 0; i < heats->n; i++) {
        struct heats_pair *pair = &heats->pairs[i];
        if (!isfinite(pair->flow_W))
            pair->u_flow_W = NAN;
        if (!isfinite(pair->meter_W))
            pair->u_meter_W = NAN;
        if (!has_both(pair))
            pair->u_difference_W = NAN;
        heats->beyond +=
            has_both(pair) && fabs(pair->meter_W - pair->flow_W) > 2 * pair->u_difference_W;
    }
}

bool heats_find(const struct reduction *r, struct heats *heats, struct faults *faults)
{
    struct fluid water;
    struct ways ways = two_ways(r);
    struct sums sums = {0};
    memset(heats, 0, sizeof *heats);
    heats->pairs = calloc(r->means.n + 1, sizeof *heats->pairs);
    if (heats->pairs == NULL)
        return fault_memory(faults);
    fluid_water(&water);
    heats->n = r->means.n;
    for (size_t i = 0; i < heats->n; i++) {
        add_window(r, &ways, &water, &r->means.items[i], &heats->pairs[i], &sums);
        heats->both += has_both(&heats->pairs[i]);
    }
    heats->water = sums.water / (double)heats->n;
    heats->ratio = sums.meter_W / sums.flow_W;
    heats->rise_K = sums.rise_K / (double)heats->both;
    heats->flow_m3_s = sums.flow_m3_s / (double)heats->both;
    size_t n = reading_errors_count(&r->setup.errors);
    for (size_t k = 0; k < n; k++)
        sums.variance_W2 += add_readings(r, &ways, k, heats);
    for (size_t k = 0; k < r->setup.errors.n; k++)
        if (r->setup.errors.rows[k].kind != ERROR_READING)
            sums.variance_W2 += add_shared(r, &ways, &r->setup.errors.rows[k], heats);
    heats->u_ratio = sqrt(sums.variance_W2) / fabs(sums.flow_W);
    blank_unknown(heats);
    return true;
}

void heats_free(struct heats *heats)
{
    free(heats->pairs);
    heats->pairs = NULL;
    heats->n = 0;
}

bool heats_differ(const struct heats *heats)
{
    return fabs(heats->ratio - 1) > 2 * heats->u_ratio;
}

/* Figures of unit pairs: R where the first was stated and the column held the second. kWh is 3.6
 * MJ, 3.412 kBTU (International Table), 0.8598 Mcal; 1 US therm is 29.30 kWh; 1 US gallon 3.785 L.
 */
static const struct heats_guess slips[] = {
    {HEATS_UNIT, 3.6, "the heat meter counted MJ and its unit were stated as kWh (or GJ as MWh)"},
    {HEATS_UNIT, 1 / 3.6,
     "the heat meter counted kWh and its unit were stated as MJ (or MWh as GJ)"},
    {HEATS_UNIT, 1000, "the heat meter's unit were stated 1000 times too large (kWh for Wh)"},
    {HEATS_UNIT, 1e-3, "the heat meter's unit were stated 1000 times too small (Wh for kWh)"},
    {HEATS_UNIT, 3.41214, "the heat meter counted kBTU and its unit were stated as kWh"},
    {HEATS_UNIT, 1 / 3.41214, "the heat meter counted kWh and its unit were stated as kBTU"},
    {HEATS_UNIT, 29.3001, "the heat meter counted kWh and its unit were stated as therm"},
    {HEATS_UNIT, 1 / 29.3001, "the heat meter counted therms and its unit were stated as kWh"},
    {HEATS_FLOW_UNIT, 60, "the flow's unit were stated 60 times too small (L/h for L/min)"},
    {HEATS_FLOW_UNIT, 1.0 / 60, "the flow's unit were stated 60 times too large (L/min for L/h)"},
    {HEATS_FLOW_UNIT, 1000.0 / 60, "the flow were in m3/h and its unit were stated as L/min"},
    {HEATS_FLOW_UNIT, 60.0 / 1000, "the flow were in L/min and its unit were stated as m3/h"},
    {HEATS_FLOW_UNIT, 3.78541, "the flow were in gal/min and its unit were stated as L/min"},
    {HEATS_FLOW_UNIT, 1 / 3.78541, "the flow were in L/min and its unit were stated as gal/min"},
    {HEATS_EXCHANGED, -1, "inlet and outlet had changed places"},
};

#define NEAR 0.05 /* our own: 3.6 and 3.785 lie 5 % apart */

/* How far R is from what a slip would give, as a share of it. */
static double off(const struct heats *heats, double ratio)
{
    return fabs(heats->ratio / ratio - 1);
}

/* A cubic metre of 20 to 50 % of glycol in water holds so much of the heat of one of water
 * (built-in tables, 40 degC, either glycol). */
#define GLYCOL_LEAST 0.88
#define GLYCOL_MOST 0.985

struct heats_guess heats_guess(const struct heats *heats)
{
    struct heats_guess best = {HEATS_NONE, 1, ""};
    double near = NEAR + 2 * heats->u_ratio / fabs(heats->ratio);
    bool water = fabs(heats->water - 1) < 0.005;
    for (size_t i = 0; i < sizeof slips / sizeof slips[0]; i++)
        if (off(heats, slips[i].ratio) < near &&
            (best.cause == HEATS_NONE || off(heats, slips[i].ratio) < off(heats, best.ratio)))
            best = slips[i];
    if (best.cause != HEATS_NONE)
        return best;
    if (!water && fabs(heats->ratio - heats->water) < fmax(0.01, 2 * heats->u_ratio))
        return (struct heats_guess){HEATS_FOR_WATER, heats->water, ""};
    if (water && heats->ratio > GLYCOL_LEAST && heats->ratio < GLYCOL_MOST)
        return (struct heats_guess){HEATS_FOR_GLYCOL, heats->ratio, ""};
    return best;
}
