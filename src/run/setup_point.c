#include "run/setup_point.h"

#include "run/setup_heat.h"

#include <math.h>

struct point_setup setup_point(const struct test_setup *setup, enum temperature_basis basis)
{
    const struct stated_number *longitude = &setup->site.longitude_rad;
    struct point_setup point = {
        .fluid = &setup->fluid,
        .area_m2 = setup->collector.area_m2,
        .heat_by_meter = setup_heat_by_meter(setup),
        .meter_at_outlet = setup->fluid_choice.meter_at.index == METER_AT_OUTLET,
        .basis = basis,
        .longitude_rad = longitude->at.given && !setup->sun_refused ? longitude->value : NAN,
        .capacity_J_m2K = setup->collector.capacity_J_m2K};
    exposure_of(&setup->collector, &point.exposure);
    for (size_t i = 0; i < setup->n_instruments; i++)
        point.mounting[setup->instruments[i].channel] = setup->instruments[i].mounting_share;
    for (int end = 0; end < PIPES; end++)
        if (setup->pipes.of[end].given)
            point.pipe_W_K[setup->pipes.of[end].channel] = setup->pipes.of[end].loss_W_K;
    return point;
}
