/* Zero check: water circulates at the temperature of the air, in the dark. */
#include "run/check.h"

#include "domain/error_expand.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* The collector gives off heat wherever its water is not as warm as the air, and stores some where
 * that drifts. Anything from a vacuum tube to a bare absorber in a breeze loses 0 to 12 W/(m2 K):
 * the middle is taken off, the rest carried. Our own figures, as is the capacity where none is
 * stated. */
#define LOSS_W_M2K 6.0
#define U_LOSS_W_M2K (6.0 / 1.7320508075688772)
#define CAPACITY_J_M2K 8000.0
#define U_CAPACITY_J_M2K 4000.0
/* A zero check warns, or is refused, beyond these; all ours. */
#define DARK_W_M2 50.0
#define NEAR_AIR_K 15.0
enum { PARTS_LEAST = 5 };
#define ZERO_LEFT_SHARE 0.5
#define ZERO_LEFT_W_M2 1.0

static size_t index_of(const struct test_setup *setup, enum channel channel)
{
    const struct instrument *found =
        instrument_of_channel(setup->instruments, setup->n_instruments, channel);
    return found == NULL ? CHECK_NO_PROBE : (size_t)(found - setup->instruments);
}

static double mean_of(const struct check_parts *parts, enum channel channel)
{
    double sum = 0;
    for (size_t k = 0; k < parts->n; k++)
        sum += parts->mean[k][channel];
    return sum / (double)parts->n;
}

static bool circulates(const struct check_parts *parts, struct check_result *result)
{
    if (parts->n < PARTS_LEAST) {
        check_fails(result, "readings of inlet, outlet, air and flow all through the stretch",
                    "look at date, time and zone of 'from' and 'to'",
                    "only %zu of the %d parts of the stretch hold good readings", parts->n,
                    CHECK_PARTS);
        return false;
    }
    double sun = mean_of(parts, CH_IRRADIANCE);
    if (sun > DARK_W_M2) {
        check_fails(result, "darkness: below 50 W/m2",
                    "check at night, or under a thick cover, without the cover touching hot glass",
                    "the sun sensor shows %.0f W/m2 in it", sun);
        return false;
    }
    if (!(mean_of(parts, CH_FLOW) > 0)) {
        check_fails(result, "water that circulates", "let the pump run during the check",
                    "there is no flow in it");
        return false;
    }
    double above =
        0.5 * (mean_of(parts, CH_INLET) + mean_of(parts, CH_OUTLET)) - mean_of(parts, CH_AMBIENT);
    if (fabs(above) > NEAR_AIR_K) {
        check_fails(result, "water as warm as the air, within 15 K; within 3 K is good",
                    "let the water stand until it is as warm as the air",
                    "the water is %.1f K %s than the air", fabs(above),
                    above > 0 ? "warmer" : "colder");
        return false;
    }
    return true;
}

/* What inlet and outlet would have differed by if both thermometers were right. The inlet alone
 * tells how warm the water is: the other thermometer's offset is what is looked for. */
static bool find_loop(const struct test_setup *setup, const struct check_parts *parts,
                      struct check_result *result)
{
    const struct collector *collector = &setup->collector;
    bool known = collector->capacity_J_m2K > 0;
    double capacity = known ? collector->capacity_J_m2K : CAPACITY_J_M2K;
    double u_capacity = known ? collector->u_capacity_J_m2K : U_CAPACITY_J_M2K;
    double t_in_degC[CHECK_PARTS];
    for (size_t k = 0; k < parts->n; k++)
        t_in_degC[k] = parts->mean[k][CH_INLET];
    struct check_sample mean = check_sample(parts->time_s, t_in_degC, parts->n);
    double span_s = parts->time_s[parts->n - 1] - parts->time_s[0];
    struct check_loop *loop = &result->loop;
    loop->above_air_K = mean.mean - mean_of(parts, CH_AMBIENT);
    loop->drift_K_s = mean.change / span_s;
    loop->flow_kg_s = mean_of(parts, CH_FLOW) * fluid_density(&setup->fluid, mean.mean);
    double per_area = collector->area_m2 / (loop->flow_kg_s * fluid_cp(&setup->fluid, mean.mean));
    if (!isfinite(per_area)) {
        check_fails(result, "temperatures within the fluid's range", "look at the thermometers",
                    "the water is at %.1f degC", mean.mean);
        return false;
    }
    size_t air = index_of(setup, CH_AMBIENT);
    double u_air = air == CHECK_NO_PROBE ? 0
                                         : error_of_offset(setup->instruments, setup->n_instruments,
                                                           &setup->instruments[air]);
    loop->rise_K = -per_area * (LOSS_W_M2K * loop->above_air_K + capacity * loop->drift_K_s);
    double by_loss = U_LOSS_W_M2K * loop->above_air_K;
    double by_level = LOSS_W_M2K * hypot(result->u_common_K, u_air);
    double by_capacity = u_capacity * loop->drift_K_s;
    double by_drift = capacity * mean.u_change / span_s;
    loop->u_rise_K = per_area * hypot(hypot(by_loss, by_level), hypot(by_capacity, by_drift));
    return true;
}

static void find_zero(const struct test_setup *setup, const struct check_parts *parts,
                      struct check_result *result)
{
    double sun[CHECK_PARTS];
    struct check_zero *zero = &result->zero;
    zero->instrument = index_of(setup, CH_IRRADIANCE);
    if (zero->instrument == CHECK_NO_PROBE)
        return;
    for (size_t k = 0; k < parts->n; k++)
        sun[k] = parts->mean[k][CH_IRRADIANCE];
    struct check_sample sample = check_sample(parts->time_s, sun, parts->n);
    const struct instrument *in = &setup->instruments[zero->instrument];
    const struct stated_error *stated = &result->run->check.zero_left;
    zero->value_W_m2 = sample.mean;
    zero->u_W_m2 = sample.u;
    zero->dof = (double)(parts->n - 1);
    zero->u_before_W_m2 = error_of_zero(in);
    double left = stated->at.given          ? stated->u
                  : zero->u_before_W_m2 > 0 ? ZERO_LEFT_SHARE * zero->u_before_W_m2
                                            : ZERO_LEFT_W_M2;
    zero->u_left_W_m2 = hypot(left, error_of_resolution(in));
    zero->found = true;
}

static void name_probe(const struct test_setup *setup, enum channel channel,
                       struct check_probe *probe)
{
    probe->instrument = index_of(setup, channel);
    if (probe->instrument != CHECK_NO_PROBE)
        strcpy(probe->name, setup->instruments[probe->instrument].name);
}

void zero_check_find(const struct test_setup *setup, const struct run_section *run,
                     const struct check_parts *parts, struct check_result *result)
{
    double readings[CHECK_PARTS][CHECK_PROBES] = {{0}};
    memset(result, 0, sizeof *result);
    result->run = run;
    result->length_s = (double)(run->check.end_us - run->check.start_us) / 1e6;
    result->n_probes = 2;
    result->reference = 0;
    name_probe(setup, CH_INLET, &result->probes[0]);
    name_probe(setup, CH_OUTLET, &result->probes[1]);
    if (!circulates(parts, result))
        return;
    for (size_t k = 0; k < parts->n; k++) {
        readings[k][0] = parts->mean[k][CH_INLET];
        readings[k][1] = parts->mean[k][CH_OUTLET];
    }
    check_compare(setup, parts->time_s, (const double(*)[CHECK_PROBES])readings, parts->n, result);
    result->found = find_loop(setup, parts, result);
    if (!result->found)
        return;
    result->probes[1].offset_K -= result->loop.rise_K;
    result->probes[1].u_left_K = hypot(result->probes[1].u_left_K, result->loop.u_rise_K);
    find_zero(setup, parts, result);
}
