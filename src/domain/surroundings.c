#include "domain/surroundings.h"

#include "domain/storage.h"

#include <math.h>
#include <stdio.h>

#define STEFAN_BOLTZMANN 5.670374419e-8
#define KELVIN 273.15

/* A flat plate under one glass. Sky: 29 and 16 W/m2 for 20 K; wind: what the top loss changes by
 * between 1.5 and 4.5 m/s, times 0.9 for the plate's own resistance. By a balance of plate, glass
 * and sky (docs/methods.md); a test does it anew. */
static const struct {
    double emittance, wind_J_m3K, sky_W_m2K;
} surfaces[SURFACES] = {
    [SURFACE_BLACK] = {0.95, 0.35, 29.0 / 20.0},
    [SURFACE_SELECTIVE] = {0.10, 0.12, 16.0 / 20.0},
};

const char *const surface_words[SURFACES] = {"black", "selective"};
const char *const sky_words[SKY_KNOWN] = {"unknown", "Swinbank 1963", "indoors"};

/* Of constructions without a single glass over the plate; our own figures. Unglazed: 3.0 W/(m2 K) a
 * m/s (the slope of Watmuff's 2.8 + 3.0 V, read second-hand) and 4 sigma T^3 at 293 K, times 0.9.
 * Tubes: the vacuum keeps both from the absorber, only the header feels them. */
enum { UNGLAZED_ROW = 2, TUBES_ROW = 3 };
#define UNGLAZED_WIND_J_M3K 2.7
#define UNGLAZED_SKY_W_M2K 5.1
#define TUBES_WIND_J_M3K 0.03
#define TUBES_SKY_W_M2K 0.1

/* Our own figures. Unknown wind over a collector in the open: 1 to 5 m/s, and 3 m/s is what a
 * standard's fan blows. A stated one: by eye or by a fan's sheet. */
#define WIND_UNKNOWN_LIMIT_M_S 2.0
#define WIND_STATED_LIMIT_M_S 1.0

/* Our own figures: limits by which the sky of the test may differ from the usual one, and a
 * standard uncertainty from day to day. Unknown: anything from a room to the driest clear sky.
 * Formula: humidity, and the part of the view that is ground and not sky. */
static const struct {
    double limit_K, day_K;
    const char *words;
} skies[SKY_KNOWN] = {
    [SKY_UNKNOWN] = {12.5, 2.0, "0 to 25 K below the air"},
    [SKY_SWINBANK] = {7.0, 1.5, "Swinbank's clear sky within 7 K"},
    [SKY_INDOORS] = {2.0, 0.5, "walls within 2 K of the air"},
};

static double between(double from, double to, double part)
{
    return from + part * (to - from);
}

static void exposure_flat(const struct collector *collector, struct exposure *out)
{
    size_t i = collector->surface.at.given ? collector->surface.index : SURFACE_BLACK;
    out->wind_J_m3K = surfaces[i].wind_J_m3K;
    out->sky_W_m2K = surfaces[i].sky_W_m2K;
    snprintf(out->origin, sizeof out->origin, "%s surface%s", surface_words[i],
             collector->surface.at.given ? "" : " (the wider, none is stated)");
    if (!collector->emittance.at.given)
        return;
    double emittance = collector->emittance.value;
    double part = (emittance - surfaces[SURFACE_SELECTIVE].emittance) /
                  (surfaces[SURFACE_BLACK].emittance - surfaces[SURFACE_SELECTIVE].emittance);
    out->wind_J_m3K =
        between(surfaces[SURFACE_SELECTIVE].wind_J_m3K, surfaces[SURFACE_BLACK].wind_J_m3K, part);
    out->sky_W_m2K =
        between(surfaces[SURFACE_SELECTIVE].sky_W_m2K, surfaces[SURFACE_BLACK].sky_W_m2K, part);
    snprintf(out->origin, sizeof out->origin, "emittance %.2f", emittance);
}

void exposure_of(const struct collector *collector, struct exposure *out)
{
    size_t row = collector->construction.at.given ? collector->construction.index : 0;
    exposure_flat(collector, out);
    if (row != UNGLAZED_ROW && row != TUBES_ROW)
        return;
    bool unglazed = row == UNGLAZED_ROW;
    out->wind_J_m3K = unglazed ? UNGLAZED_WIND_J_M3K : TUBES_WIND_J_M3K;
    out->sky_W_m2K = unglazed ? UNGLAZED_SKY_W_M2K : TUBES_SKY_W_M2K;
    snprintf(out->origin, sizeof out->origin, "%s", storage_rows[row].name);
}

double sky_degC_of_longwave(double longwave_W_m2)
{
    return sqrt(sqrt(longwave_W_m2 / STEFAN_BOLTZMANN)) - KELVIN;
}

double sky_swinbank_degC(double t_air_degC)
{
    return 0.0552 * pow(t_air_degC + KELVIN, 1.5) - KELVIN;
}

static bool add_wind(const struct exposure *exposure, const struct site *site,
                     struct error_registry *registry, struct faults *faults)
{
    bool stated = site->wind_m_s.at.given;
    const struct stated_error *error = &site->wind_error;
    double u_m_s = (stated ? WIND_STATED_LIMIT_M_S : WIND_UNKNOWN_LIMIT_M_S) / sqrt(3.0);
    if (stated && error->at.given)
        u_m_s = error->relative ? error->u * site->wind_m_s.value : error->u;
    struct error_source row = {.kind = ERROR_CALIBRATION,
                               .u = exposure->wind_J_m3K * u_m_s,
                               .dof = INFINITY,
                               .n_targets = 1,
                               .targets = {{.what = SHIFT_LOSS_SLOPE, .weight = 1.0}},
                               .id = "surroundings.wind",
                               .cure = "measure the wind beside the glass"};
    snprintf(row.label, sizeof row.label, "wind over the collector, %s",
             stated ? "stated, not measured" : "not known");
    if (stated)
        snprintf(row.origin, sizeof row.origin, "stated: %.3g m/s, %.24s; %.2g J/(m3 K), %.40s",
                 site->wind_m_s.value, error->at.given ? error->text : "1 m/s limit",
                 exposure->wind_J_m3K, exposure->origin);
    else
        snprintf(row.origin, sizeof row.origin,
                 "default: 1 to 5 m/s, a limit (our figure); %.2g J/(m3 K), %.40s",
                 exposure->wind_J_m3K, exposure->origin);
    return registry_add(registry, &row, faults);
}

static bool add_sky_row(const struct exposure *exposure, enum sky_known known, bool day,
                        struct error_registry *registry, struct faults *faults)
{
    double u_K = day ? skies[known].day_K : skies[known].limit_K / sqrt(3.0);
    struct error_source row = {.kind = day ? ERROR_SESSION : ERROR_CALIBRATION,
                               .u = exposure->sky_W_m2K * u_K,
                               .dof = INFINITY,
                               .n_targets = 1,
                               .targets = {{.what = SHIFT_LOSS, .weight = 1.0}},
                               .cure = "measure it"};
    if (known == SKY_UNKNOWN)
        snprintf(row.cure, sizeof row.cure, "measure it, or say what is known: 'sky' in [site]");
    snprintf(row.id, sizeof row.id, "surroundings.sky%s", day ? " day" : "");
    snprintf(row.label, sizeof row.label, "sky's temperature, not measured%s",
             day ? ", new each day" : "");
    if (day)
        snprintf(row.origin, sizeof row.origin, "default: %.2g K standard; %.3g W/m2 a K, %.40s",
                 u_K, exposure->sky_W_m2K, exposure->origin);
    else
        snprintf(row.origin, sizeof row.origin, "default: %s, a limit; %.3g W/m2 a K, %.40s",
                 skies[known].words, exposure->sky_W_m2K, exposure->origin);
    return registry_add(registry, &row, faults);
}

/* A measured sky is as sure as its instrument: its calibration rows, as squares. */
static bool add_sky_instrument(const struct exposure *exposure, struct error_registry *registry,
                               struct faults *faults)
{
    double sum = 0.0;
    for (size_t i = 0; i < registry->n; i++) {
        const struct error_source *row = &registry->rows[i];
        if (row->kind != ERROR_CALIBRATION)
            continue;
        /* Radiation goes with the fourth power: 1 % of it is a quarter of 1 % of some 285 K. */
        double u_K = row->targets[0].channel == CH_SKY && row->targets[0].what == SHIFT_OFFSET
                         ? row->u
                     : row->targets[0].channel == CH_LONGWAVE && row->targets[0].what == SHIFT_GAIN
                         ? row->u * 285.0 / 4.0
                         : 0.0;
        sum += u_K * u_K;
    }
    if (!(sum > 0.0))
        return true;
    struct error_source row = {.kind = ERROR_CALIBRATION,
                               .u = exposure->sky_W_m2K * sqrt(sum),
                               .dof = INFINITY,
                               .n_targets = 1,
                               .targets = {{.what = SHIFT_LOSS, .weight = 1.0}},
                               .id = "surroundings.sky",
                               .label = "sky's temperature, as well as it was measured",
                               .cure = "have its instrument calibrated"};
    snprintf(row.origin, sizeof row.origin, "%.2g K of the instrument; %.3g W/m2 a K, %.40s",
             sqrt(sum), exposure->sky_W_m2K, exposure->origin);
    return registry_add(registry, &row, faults);
}

bool surroundings_expand(const struct collector *collector, const struct site *site, bool wind,
                         bool sky, struct error_registry *registry, struct faults *faults)
{
    struct exposure exposure;
    exposure_of(collector, &exposure);
    if (!wind && !add_wind(&exposure, site, registry, faults))
        return false;
    if (sky)
        return add_sky_instrument(&exposure, registry, faults);
    enum sky_known known = site->sky.at.given ? (enum sky_known)site->sky.index : SKY_UNKNOWN;
    return add_sky_row(&exposure, known, false, registry, faults) &&
           add_sky_row(&exposure, known, true, registry, faults);
}
