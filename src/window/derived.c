#include "window/derived.h"

#include "ingest/span.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { INPUTS_MAX = 3 };

/* A derived channel: what it is made from and how. `fill` may count on good() for the inputs' flags
 * and on value and flag of the channel having room for the block. */
struct derived_row {
    enum channel id;
    enum channel inputs[INPUTS_MAX];
    size_t n_inputs;
    bool (*can)(const struct angles *angles, const struct block *block); /* NULL: always */
    bool (*fill)(struct derived *derived, const struct block *block, struct faults *faults);
};

static bool fill_flow(struct derived *derived, const struct block *block, struct faults *faults);
static bool fill_heat(struct derived *derived, const struct block *block, struct faults *faults);
static bool fill_incidence(struct derived *derived, const struct block *block,
                           struct faults *faults);
static bool fill_diffuse(struct derived *derived, const struct block *block,
                         struct faults *faults);

/* In order: a row may use those above it. A channel that the log carries is not derived. */
static const struct derived_row rows[] = {
    {CH_FLOW, {CH_MASS_FLOW, CH_INLET, CH_OUTLET}, 3, NULL, fill_flow},
    {CH_INCIDENCE, {CH_IRRADIANCE}, 1, angles_can, fill_incidence},
    {CH_DIFFUSE, {CH_IRRADIANCE, CH_INCIDENCE}, 2, angles_can_split, fill_diffuse},
    {CH_HEAT, {CH_INLET, CH_OUTLET, CH_FLOW}, 3, NULL, fill_heat},
};
enum { ROWS = sizeof rows / sizeof rows[0] };

double derived_heat_W(const struct fluid *fluid, double flow_m3_s, double t_meter_degC,
                      double t_in_degC, double t_out_degC)
{
    return fluid_density(fluid, t_meter_degC) * flow_m3_s *
           fluid_enthalpy_rise(fluid, t_in_degC, t_out_degC);
}

static bool good(const struct block *block, enum channel channel, size_t i)
{
    return block->flag[channel][i] == FLAG_GOOD;
}

static double if_good(const struct block *block, enum channel channel, size_t i)
{
    return good(block, channel, i) ? block->value[channel][i] : NAN;
}

/* The volume flow that a meter of volume would have shown at the same place. */
static bool fill_flow(struct derived *derived, const struct block *block, struct faults *faults)
{
    (void)faults;
    enum channel at = derived->meter_at_outlet ? CH_OUTLET : CH_INLET;
    for (size_t i = 0; i < block->n; i++) {
        double density = fluid_density(derived->fluid, if_good(block, at, i));
        double flow_m3_s = if_good(block, CH_MASS_FLOW, i) / density;
        derived->value[CH_FLOW][i] = flow_m3_s;
        uint8_t flag = block->flag[CH_MASS_FLOW][i];
        if (flag == FLAG_GOOD && !isfinite(flow_m3_s))
            flag = FLAG_MISSING;
        derived->flag[CH_FLOW][i] = flag;
    }
    return true;
}

static bool fill_incidence(struct derived *derived, const struct block *block,
                           struct faults *faults)
{
    (void)faults;
    angles_incidence(&derived->angles, block, derived->value[CH_INCIDENCE],
                     derived->flag[CH_INCIDENCE]);
    return true;
}

static bool fill_diffuse(struct derived *derived, const struct block *block, struct faults *faults)
{
    (void)faults;
    angles_diffuse(&derived->angles, block, derived->value[CH_DIFFUSE], derived->flag[CH_DIFFUSE]);
    return true;
}

/* Counts become a flow or a heat before anything is made from it. */
static void count_pulses(struct derived *derived, enum counted_kind counted, struct block *block)
{
    enum channel channel = counted_channel(counted);
    struct pulses *pulses = &derived->pulses[counted];
    if (pulses->meter.form == PULSES_NONE || !block->present[channel])
        return;
    if (block->gap_before)
        pulses_restart(pulses);
    for (size_t i = 0; i < block->n; i++) {
        double rate = pulses_next(pulses, block->time_us[i], if_good(block, channel, i));
        uint8_t flag = block->flag[channel][i];
        if (flag == FLAG_GOOD && isnan(rate))
            flag = FLAG_MISSING;
        if (rate > channel_row(channel)->most_si)
            flag = FLAG_OUT_OF_RANGE;
        derived->value[channel][i] = flag == FLAG_GOOD ? rate : NAN;
        derived->flag[channel][i] = flag;
    }
    block->value[channel] = derived->value[channel];
    block->flag[channel] = derived->flag[channel];
    block->all_good[channel] = false;
}

/* The same where no reading is bad and none is delayed. */
static void fill_plain_heat(struct derived *derived, const struct block *block)
{
    const double *t_in_degC = block->value[CH_INLET];
    const double *t_out_degC = block->value[CH_OUTLET];
    const double *flow_m3_s = block->value[CH_FLOW];
    double *heat_W = derived->value[CH_HEAT];
    uint8_t *flag = derived->flag[CH_HEAT];
    fluid_heat(derived->fluid, derived->meter_at_outlet, flow_m3_s, t_in_degC, t_out_degC, block->n,
               heat_W);
    for (size_t i = 0; i < block->n; i++)
        flag[i] = isnan(heat_W[i]) ? FLAG_OUT_OF_RANGE : FLAG_GOOD;
}

static bool fill_heat(struct derived *derived, const struct block *block, struct faults *faults)
{
    static const enum channel needed[] = {CH_INLET, CH_OUTLET, CH_FLOW};
    double *heat_W = derived->value[CH_HEAT];
    uint8_t *flag = derived->flag[CH_HEAT];
    if (block->gap_before)
        delay_restart(&derived->inlet);
    if (derived->inlet.delay_us == 0 && span_good(block, needed, 3, 0, block->n)) {
        fill_plain_heat(derived, block);
        return true;
    }
    for (size_t i = 0; i < block->n; i++) {
        double t_in_degC = if_good(block, CH_INLET, i);
        double t_out_degC = if_good(block, CH_OUTLET, i);
        double flow_m3_s = if_good(block, CH_FLOW, i);
        double t_before_degC;
        if (!delay_next(&derived->inlet, block->time_us[i], t_in_degC, &t_before_degC, faults))
            return false;
        double t_meter_degC = derived->meter_at_outlet ? t_out_degC : t_in_degC;
        bool usable = isfinite(t_before_degC) && isfinite(t_out_degC) && isfinite(flow_m3_s) &&
                      isfinite(t_meter_degC) && isfinite(t_in_degC);
        heat_W[i] = usable ? derived_heat_W(derived->fluid, flow_m3_s, t_meter_degC, t_before_degC,
                                            t_out_degC)
                           : NAN;
        flag[i] = !usable ? FLAG_MISSING : isnan(heat_W[i]) ? FLAG_OUT_OF_RANGE : FLAG_GOOD;
    }
    return true;
}

static bool make_room(struct derived *derived, enum channel channel)
{
    derived->value[channel] = malloc(BLOCK_ROWS * sizeof(double));
    derived->flag[channel] = malloc(BLOCK_ROWS);
    return derived->value[channel] != NULL && derived->flag[channel] != NULL;
}

bool derived_init(struct derived *derived, const struct fluid *fluid, bool meter_at_outlet,
                  int64_t transit_us, struct sink *sinks, size_t n, struct faults *faults)
{
    memset(derived, 0, sizeof *derived);
    derived->fluid = fluid;
    derived->meter_at_outlet = meter_at_outlet;
    derived->sinks = sinks;
    derived->n_sinks = n;
    delay_init(&derived->inlet, transit_us);
    angles_init(&derived->angles);
    derived->block = calloc(1, sizeof *derived->block);
    bool fine = derived->block != NULL && make_room(derived, CH_METERED);
    for (size_t i = 0; i < ROWS && fine; i++)
        fine = make_room(derived, rows[i].id);
    if (fine)
        return true;
    derived_free(derived);
    return fault_memory(faults);
}

void derived_count(struct derived *derived, enum counted_kind counted,
                   const struct pulse_meter *meter)
{
    pulses_init(&derived->pulses[counted], meter);
}

void derived_know_angles(struct derived *derived, const struct angles *angles)
{
    derived->angles = *angles;
}

void derived_free(struct derived *derived)
{
    delay_free(&derived->inlet);
    free(derived->block);
    derived->block = NULL;
    for (int c = 0; c < CH_COUNT; c++) {
        free(derived->value[c]);
        free(derived->flag[c]);
        derived->value[c] = NULL;
        derived->flag[c] = NULL;
    }
}

static bool has_inputs(const struct derived_row *row, const struct block *block)
{
    for (size_t i = 0; i < row->n_inputs; i++)
        if (!block->present[row->inputs[i]])
            return false;
    return true;
}

/* The block as it came, its arrays borrowed, with room for more channels. */
static void copy_block(const struct block *from, struct block *to)
{
    to->n = from->n;
    to->gap_before = from->gap_before;
    to->bytes_done = from->bytes_done;
    to->time_us = from->time_us;
    to->place = from->place;
    memcpy(to->present, from->present, sizeof to->present);
    memcpy(to->value, from->value, sizeof to->value);
    memcpy(to->flag, from->flag, sizeof to->flag);
    memcpy(to->all_good, from->all_good, sizeof to->all_good);
}

static bool take(void *state, const struct block *block, struct faults *faults)
{
    struct derived *derived = state;
    struct block *out = derived->block;
    copy_block(block, out);
    for (int k = 0; k < COUNTED; k++)
        count_pulses(derived, (enum counted_kind)k, out);
    for (size_t i = 0; i < ROWS; i++) {
        if (block->present[rows[i].id] || !has_inputs(&rows[i], out) ||
            (rows[i].can != NULL && !rows[i].can(&derived->angles, out)))
            continue;
        if (!rows[i].fill(derived, out, faults))
            return false;
        out->present[rows[i].id] = true;
        out->value[rows[i].id] = derived->value[rows[i].id];
        out->flag[rows[i].id] = derived->flag[rows[i].id];
        out->all_good[rows[i].id] = span_good(out, &rows[i].id, 1, 0, out->n);
    }
    angles_watch(&derived->angles, out, block->present[CH_DIFFUSE]);
    for (size_t i = 0; i < derived->n_sinks; i++)
        if (!derived->sinks[i].take(derived->sinks[i].state, out, faults))
            return false;
    return true;
}

static bool finish(void *state, struct faults *faults)
{
    struct derived *derived = state;
    for (size_t i = 0; i < derived->n_sinks; i++)
        if (derived->sinks[i].finish != NULL &&
            !derived->sinks[i].finish(derived->sinks[i].state, faults))
            return false;
    return true;
}

struct sink derived_sink(struct derived *derived)
{
    return (struct sink){derived, take, finish};
}
