/* What is not known of the angles, as rows of the registry. */
#include "domain/site.h"

#include <math.h>
#include <stdio.h>

#define RAD_PER_DEG (3.14159265358979323846 / 180.0)

/* Our own figures: limits, where nothing is stated. A spirit level's and a protractor's degree; a
 * compass beside steel; a clock set by hand. */
#define TILT_LIMIT_RAD (1.0 * RAD_PER_DEG)
#define AZIMUTH_LIMIT_RAD (5.0 * RAD_PER_DEG)
#define CLOCK_LIMIT_S 60.0

struct angle_row {
    const struct stated_error *stated;
    double limit; /* where not stated; NaN: no row then */
    enum shift_target what;
    const char *id, *label, *cure, *by_default;
};

static bool add(const struct angle_row *angle, struct error_registry *registry,
                struct faults *faults)
{
    bool stated = angle->stated->at.given;
    struct error_source row = {.kind = ERROR_CALIBRATION,
                               .u = stated ? angle->stated->u : angle->limit / sqrt(3.0),
                               .rectangular = !stated || angle->stated->limit,
                               .dof = INFINITY,
                               .n_targets = 1,
                               .targets = {{angle->what, CH_IRRADIANCE, 1.0}}};
    if (!stated && isnan(angle->limit))
        return true;
    snprintf(row.id, sizeof row.id, "%s", angle->id);
    snprintf(row.label, sizeof row.label, "%s", angle->label);
    snprintf(row.cure, sizeof row.cure, "%s", angle->cure);
    if (stated)
        snprintf(row.origin, sizeof row.origin, "stated: %.100s", angle->stated->text);
    else
        snprintf(row.origin, sizeof row.origin, "default: %s (our figure)", angle->by_default);
    return registry_add(registry, &row, faults);
}

static bool expand_lamp(const struct site *site, struct error_registry *registry,
                        struct faults *faults)
{
    const struct angle_row rows[] = {
        {&site->lamp_uniformity, NAN, SHIFT_GAIN, "lamp.uniformity",
         "lamp's light over the collector's area", "measure on a grid over the whole area", ""},
        {&site->lamp_spectrum, NAN, SHIFT_GAIN, "lamp.spectrum",
         "lamp's spectrum, not the sun's, on this absorber",
         "weigh the lamp's spectrum with the absorber's, or test outdoors", ""},
        {&site->lamp_heat, NAN, SHIFT_LOSS, "lamp.heat", "heat radiation of the warm lamp",
         "a cold sky of glass and moving air between lamp and collector", ""},
    };
    for (size_t i = 0; i < LENGTH(rows); i++)
        if (!add(&rows[i], registry, faults))
            return false;
    return true;
}

bool site_expand(const struct site *site, bool tilt, bool azimuth, struct error_registry *registry,
                 struct faults *faults)
{
    if (site->mount.at.given && site->mount.index == SITE_LAMP)
        return expand_lamp(site, registry, faults);
    const struct angle_row tilt_row = {&site->tilt_error, TILT_LIMIT_RAD, SHIFT_TILT, "mount.tilt",
                                       "tilt of the collector",
                                       "a digital level on the glass, along and across",
                                       "1 deg limit"};
    const struct angle_row azimuth_row = {
        &site->azimuth_error, AZIMUTH_LIMIT_RAD, SHIFT_AZIMUTH, "mount.azimuth",
        "direction that the collector faces",
        "a plumb line's shadow at the sun's noon, instead of a compass", "5 deg limit"};
    const struct angle_row clock_row = {&site->clock_error, CLOCK_LIMIT_S, SHIFT_CLOCK, "clock",
                                        "clock of the log", "set it by radio or network time",
                                        "60 s limit"};
    return (!tilt || add(&tilt_row, registry, faults)) &&
           (!azimuth || add(&azimuth_row, registry, faults)) &&
           add(&clock_row, registry, faults);
}
