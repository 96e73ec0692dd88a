#include "demo/collectors.h"

#include <assert.h>

static const struct demo_collector_row rows[DEMO_COLLECTORS] = {
    /* Paint absorbs a little more than the coating and radiates nearly all that a black body would:
     * loss and its rise with temperature are much larger. */
    {DEMO_PLATE_A,
     "Plate A, stove paint",
     2.05,
     {.aperture_m2 = 1.92,
      .tau_alpha = 0.862,
      .b0 = 0.11,
      .loss_W_m2K = 6.05,
      .loss_rise_W_m2K2 = 0.0135,
      .loss_wind_J_m3K = 0.16,
      .bond_W_m2K = 110.0,
      .plate_J_m2K = 5200.0,
      .content_kg = 1.55}},
    {DEMO_PLATE_B,
     "Plate B, selective coating",
     2.05,
     {.aperture_m2 = 1.92,
      .tau_alpha = 0.823,
      .b0 = 0.11,
      .loss_W_m2K = 3.92,
      .loss_rise_W_m2K2 = 0.0098,
      .loss_wind_J_m3K = 0.09,
      .bond_W_m2K = 110.0,
      .plate_J_m2K = 5200.0,
      .content_kg = 1.55}},
    /* Tin wired to a copper pipe under a used window pane. */
    {DEMO_RIG,
     "Garden rig, tin and window pane",
     1.10,
     {.aperture_m2 = 0.98,
      .tau_alpha = 0.79,
      .b0 = 0.13,
      .loss_W_m2K = 6.9,
      .loss_rise_W_m2K2 = 0.017,
      .loss_wind_J_m3K = 0.22,
      .bond_W_m2K = 62.0,
      .plate_J_m2K = 5600.0,
      .content_kg = 0.9}},
    /* Copper sheet in a deep wooden box: a good absorber that takes its time. */
    {DEMO_BUCKET,
     "Garden box on a bucket, copper sheet",
     1.02,
     {.aperture_m2 = 0.97,
      .tau_alpha = 0.85,
      .b0 = 0.12,
      .loss_W_m2K = 6.2,
      .loss_rise_W_m2K2 = 0.012,
      .loss_wind_J_m3K = 0.20,
      .bond_W_m2K = 90.0,
      .plate_J_m2K = 5700.0,
      .content_kg = 1.0}},
};

const struct demo_collector_row *demo_collector_row(enum demo_collector id)
{
    assert((unsigned)id < DEMO_COLLECTORS);
    return &rows[id];
}
