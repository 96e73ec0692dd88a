#include "demo/texts.h"

#include "demo/truth.h"

#include <math.h>

#define L_MIN_PER_M3_S 60000.0

static const char *const groups[] = {"Red table", "Blue table", "Green table", "Yellow table"};

static const char *const points_head =
    "# Invented for the program's demo: what four groups of pupils might have written down.\n"
    "# One row is the mean of ten minutes by the clock, read by eye once a minute.\n"
    "point,group,irradiance [W/m2],ambient [degC],inlet [degC],outlet [degC],flow [L/min],"
    "wind [m/s]\n";

static const char *const glycol_points_head =
    "# Invented for the program's demo: means of ten minutes of plate A with antifreeze.\n"
    "point,irradiance [W/m2],ambient [degC],inlet [degC],outlet [degC],flow [L/min],wind [m/s]\n";

/* by_groups: the second column says which of the pupils' tables took the point. */
static bool add_points(const struct fluid *fluid, uint64_t draw, bool by_groups, struct text *out,
                       struct faults *faults)
{
    struct means means[DEMO_POINTS_MAX];
    if (!demo_points(DEMO_PLATE_A, fluid, draw, means, faults))
        return false;
    for (size_t k = 0; k < demo_point_count(DEMO_PLATE_A); k++) {
        const double *mean = means[k].mean;
        text_addf(out, "%zu%s%s,%.0f,%.1f,%.2f,%.2f,%.3f,%.1f\n", k + 1, by_groups ? "," : "",
                  by_groups ? groups[k % 4] : "", mean[CH_IRRADIANCE], mean[CH_AMBIENT],
                  mean[CH_INLET], mean[CH_OUTLET], mean[CH_FLOW] * L_MIN_PER_M3_S, mean[CH_WIND]);
    }
    return text_ok(out, faults);
}

bool texts_points(const struct fluid *fluid, uint64_t draw, struct text *out,
                  struct faults *faults)
{
    text_add(out, points_head);
    return add_points(fluid, draw, true, out, faults);
}

bool texts_glycol_points(uint64_t draw, struct text *out, struct faults *faults)
{
    struct fluid mixture;
    text_add(out, glycol_points_head);
    return demo_mixture(draw, &mixture, faults) && add_points(&mixture, draw, false, out, faults);
}

void texts_fluid_table(const struct fluid *fluid, struct text *out)
{
    text_add(out, "# Density and specific heat against temperature: the form in which a fluid of\n"
                  "# your own is given, by 'table = water-table.csv' under [fluid]. These rows\n"
                  "# are the program's own water, in steps of 10 K; straight lines between them.\n"
                  "t_degC,density_kg_m3,cp_J_kgK\n");
    for (int t = 5; t <= 105; t += 10)
        text_addf(out, "%d,%.2f,%.1f\n", t, fluid_density(fluid, t), fluid_cp(fluid, t));
}

static const char *const readme_head =
    "Demo of etabench: invented tests\n"
    "================================\n"
    "\n"
    "Everything in this folder is invented. The readings were computed from energy balances of\n"
    "four collectors that do not exist, seen through instruments that do not exist; each is off\n"
    "by an amount drawn from the error that its description states. They were measured nowhere.\n"
    "\n"
    "Two plates from a workshop course, side by side on one rack, two days\n"
    "  plate-a.txt       description of plate A, stove paint\n"
    "  plate-b.txt       description of plate B, selective coating; same sun sensor as plate A\n"
    "  day1.csv          10 s readings of both, water at 20 and 41 degC in\n"
    "  day2.csv          10 s readings of both, water at 62 and 85 degC in\n"
    "A homemade rig: a bucket, a heating rod on a thermostat, a cheap logger, one day\n"
    "  rig.txt           description\n"
    "  rig.csv           15 s readings, decimal commas\n"
    "The same rig, after its instruments were checked\n"
    "  rig-checked.txt   description with a zero check, and bucket and stopwatch\n"
    "  rig-evening.csv   15 s readings of the evening before, for the zero check\n"
    "An hour of another one: a bucket that its rod heats all the way, no thermostat\n"
    "  bucket.txt        description: what the collector stores is added back\n"
    "  bucket.csv        15 s readings, decimal commas\n"
    "A class that typed its points by hand\n"
    "  class.txt         description\n"
    "  points.csv        16 points of plate A, taken by four groups\n"
    "Plate A in a closed loop with antifreeze\n"
    "  glycol.txt        description, 40 % propylene glycol by volume\n"
    "  glycol.csv        16 points; the true mixture is a little off what the description says\n"
    "The form of a fluid of your own\n"
    "  water-table.csv   density and specific heat against temperature\n"
    "\n"
    "Try\n"
    "  etabench check plate-a.txt\n"
    "  etabench reduce plate-a.txt\n"
    "  etabench reduce plate-b.txt\n"
    "  etabench reduce rig.txt\n"
    "  etabench reduce rig-checked.txt\n"
    "  etabench reduce bucket.txt\n"
    "  etabench reduce class.txt\n"
    "  etabench reduce glycol.txt\n"
    "\n"
    "Before you do the like with a real collector\n"
    "  Without flow an idle glazed collector in the sun can pass 150 to 200 degC: burns, steam,\n"
    "  softened foam. Never fill a hot, empty collector with cold water; cover the glass first.\n"
    "  Water at 85 degC scalds, and a closed loop needs a relief valve that blows to a safe place\n"
    "  and room to expand. A heating rod in a bucket is mains beside water: a residual-current\n"
    "  device, a rod made for it, hands out while it is live. Antifreeze: only the propylene type\n"
    "  where drinking water can be reached; ethylene glycol is poisonous. Fill and test above\n"
    "  freezing; overheated glycol turns acid. A rack that is turned by hand must be held against\n"
    "  wind; glass breaks: gloves and eye protection. Local codes and a licensed practitioner\n"
    "  have the last word.\n"
    "\n"
    "The truth behind the readings\n"
    "  Efficiency on gross area without any error of measurement, computed by the same balances,\n"
    "  at 950 W/m2, air 25 degC, wind 3 m/s (garden: 1.7 m/s), sun square on the glass. T* is mean\n"
    "  water minus air, divided by sunshine. What the program finds should agree with it within\n"
    "  the band that it prints, in 95 of 100 such demos.\n"
    "\n";

static bool add_truth(enum demo_collector collector, const struct fluid *fluid, struct text *out,
                      struct faults *faults)
{
    text_addf(out, "  %s\n    inlet degC   T* m2K/W   efficiency\n",
              demo_collector_row(collector)->name);
    size_t n = demo_point_count(collector);
    for (size_t k = 0; k < n; k += n / 4) {
        struct plant_conditions at;
        struct demo_truth truth;
        demo_point_conditions(collector, k, &at);
        at.t_in_degC = round(at.t_in_degC);
        at.g_W_m2 = 950.0;
        at.t_ambient_degC = 25.0;
        at.wind_m_s = collector == DEMO_RIG || collector == DEMO_BUCKET ? 1.7 : 3.0;
        if (!demo_truth(collector, fluid, &at, 1, &truth, faults))
            return false;
        text_addf(out, "    %10.0f   %8.4f   %10.3f\n", at.t_in_degC, truth.reduced_m2K_W,
                  truth.efficiency);
    }
    return true;
}

bool texts_readme(const struct fluid *fluid, struct text *out, struct faults *faults)
{
    text_add(out, readme_head);
    for (enum demo_collector c = DEMO_PLATE_A; c < DEMO_COLLECTORS; c++)
        if (!add_truth(c, fluid, out, faults))
            return false;
    return text_ok(out, faults);
}
