/* What a reduction says of sun, angles and clock. */
#include "run/reduction_document.h"
#include "run/sun_means.h"
#include "run/words.h"
#include "sky/vector.h"

#include <inttypes.h>
#include <math.h>
#include <stdio.h>

#define DEG (180 / M_PI)
/* Of the bright readings, from which on something is wrong; our figures. */
#define NIGHT_SHARE 0.02
#define BEHIND_SHARE 0.05
#define ABOVE_SHARE 0.02
#define CLOSURE 0.05

static bool lamp_findings(const struct site *site, struct document *doc, struct faults *faults)
{
    const struct {
        bool stated;
        const char *words;
    } rows[] = {
        {site->lamp_uniformity.at.given, "uniformity of the lamp's light ('lamp uniformity')"},
        {site->lamp_spectrum.at.given, "spectral mismatch ('lamp spectrum')"},
        {site->lamp_heat.at.given, "heat radiation of the lamp ('lamp heat')"},
    };
    struct text text = {0};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        if (!rows[i].stated)
            text_addf(&text, "%s%s", text.length > 0 ? ", " : "", rows[i].words);
    bool good = text_ok(&text, faults);
    if (good && text.length > 0)
        good = document_finding(doc, FINDING_NOT_STATED, true, faults,
                                "Under a lamp: %s. Each counts as nought.", text_string(&text));
    text_free(&text);
    return good && document_finding(doc, FINDING_LOG, false, faults,
                                    "Under a lamp the clock says nothing of the angle and is not "
                                    "checked.");
}

/* Least and largest of a figure over the points; false if none has it. */
static bool range_of(const struct means_list *list, double (*figure)(const struct means *),
                     double *least, double *most)
{
    *least = INFINITY;
    *most = -INFINITY;
    for (size_t i = 0; i < list->n; i++) {
        double value = figure(&list->items[i]);
        *least = fmin(*least, value); /* passes a NaN over */
        *most = fmax(*most, value);
    }
    return *most >= *least;
}

static double angle_deg(const struct means *means)
{
    return means->has[CH_INCIDENCE] ? means->mean[CH_INCIDENCE] * DEG : NAN;
}

static double height_deg(const struct means *means)
{
    const struct means_sun *sun = &means->sun;
    struct vector at = {sun->at[0], sun->at[1], sun->at[2]};
    return sun->known ? vector_height_rad(at) * DEG : NAN;
}

static double estimated_share(const struct means *means)
{
    return means->sun.share == SHARE_ESTIMATED ? means->sun.diffuse_share : NAN;
}

static double measured_share(const struct means *means)
{
    return means->sun.share == SHARE_MEASURED ? means->sun.diffuse_share : NAN;
}

static bool angle_findings(const struct reduction *r, struct document *doc, struct faults *faults)
{
    double least, most, low, high;
    const char *points = r->from_log ? "windows" : "points";
    bool seen = range_of(&r->means, height_deg, &low, &high) &&
                range_of(&r->means, angle_deg, &least, &most);
    if (seen && !document_finding(doc, FINDING_LOG, false, faults,
                                  "In the %s the sun stood %.1f to %.1f° high and %.1f to %.1f° "
                                  "off the collector's normal (%s).",
                                  points, low, high, least, most,
                                  setup_angles_from_sun(&r->setup)
                                      ? "from its place, refraction on"
                                      : "as measured"))
        return false;
    if (range_of(&r->means, measured_share, &least, &most) &&
        !document_finding(doc, FINDING_LOG, false, faults,
                          "Diffuse share of the sunshine, measured: %.2f to %.2f.", least, most))
        return false;
    if (!range_of(&r->means, estimated_share, &least, &most))
        return true;
    return document_finding(doc, FINDING_NOT_STATED, false, faults,
                            "Diffuse share of the sunshine: estimated, not measured (%.2f to "
                            "%.2f). A limit on it is not verified.",
                            least, most) &&
           document_finding(doc, FINDING_LOG, false, faults,
                            "The diffuse share is estimated by the split of Erbs et al. (1982), "
                            "which is meant for hours and the level, under a plain sky; its "
                            "standard uncertainty is 0.05 under a clear sky, 0.15 otherwise.");
}

/* "5° further west": where the collector would face if the clock were right. */
static const char *turned_words(const struct reduction *r, char *out, size_t size)
{
    static const char *const sides[] = {"north", "east", "south", "west"};
    double turned_deg = r->clock.azimuth_rad * DEG;
    double side = r->angles.mount.azimuth_rad * DEG + (turned_deg > 0 ? 90 : -90);
    if (isfinite(turned_deg))
        snprintf(out, size, "%.0f° further %s", fabs(turned_deg),
                 sides[(long)floor((side - 360 * floor(side / 360)) / 90 + 0.5) % 4]);
    else
        snprintf(out, size, "%s", "");
    return out;
}

static bool clock_off(const struct reduction *r, struct document *doc, struct faults *faults)
{
    const struct clock_answer *clock = &r->clock;
    const char *way = clock->lag_min > 0 ? "slow" : "fast";
    char turned[96], days[64], lag[32];
    words_count(clock->days, "clear day", days, sizeof days);
    words_duration(60 * round(fabs(clock->lag_min)), lag, sizeof lag);
    turned_words(r, turned, sizeof turned);
    bool other = turned[0] != '\0';
    if (clock->verdict == CLOCK_EITHER)
        return document_finding(
            doc, FINDING_NOT_STATED, true, faults,
            "The sunshine of %s does not keep the sun's time: the log's clock is %s %s (± %.0f "
            "min), or the %s%s than stated. Sunshine alone cannot tell which: compare the clock, and "
            "the direction with a plumb line's shadow at the sun's noon.",
            days, lag, way, 2 * clock->u_min,
            other ? "collector faces " : "place, the tilt or the direction is another", turned);
    return document_finding(
        doc, FINDING_NOT_STATED, true, faults,
        "The sunshine of %s does not keep the sun's time: the log's clock seems %s %s (± %.0f "
        "min), near a multiple of 15 min: its zone, or summer time, is not what 'time' in [log] "
        "says%s%s%s. %s",
        days, lag, way, 2 * clock->u_min, other ? " (or the collector faces " : "", turned,
        other ? ", which is less likely)" : "",
        r->angles_refused
            ? "Angles from the sun's place are refused until that is put right, or until [site] "
              "says 'clock checked = yes'; the windows were judged by wrong angles."
            : "Angles are formed all the same: the description says that the clock was checked.");
}

static bool clock_findings(const struct reduction *r, struct document *doc, struct faults *faults)
{
    char days[64];
    if (!r->clock_asked)
        return true;
    words_count(r->clock.days, "clear day", days, sizeof days);
    switch (r->clock.verdict) {
    case CLOCK_NO_DAY:
        return document_finding(doc, FINDING_LOG, false, faults,
                                "Clock: no day has three clear hours, so the sunshine cannot tell "
                                "whether clock and direction are right.");
    case CLOCK_NO_SHAPE:
        return document_finding(doc, FINDING_LOG, false, faults,
                                "Clock: the clear hours do not show the shape of a whole clear "
                                "day, so the sunshine cannot tell whether clock and direction are "
                                "right.");
    case CLOCK_FITS:
        return document_finding(doc, FINDING_LOG, false, faults,
                                "Clock: on %s the sunshine keeps the sun's time within %.0f ± "
                                "%.0f min, and so clock and direction fit each other.",
                                days, fabs(r->clock.lag_min), 2 * r->clock.u_min);
    case CLOCK_EITHER:
    case CLOCK_ZONE:
        break;
    }
    return clock_off(r, doc, faults);
}

static bool exceeds(uint64_t part, uint64_t whole, double share)
{
    return whole > 0 && (double)part > share * (double)whole;
}

static bool light_findings(const struct angles_doubts *d, struct document *doc,
                           struct faults *faults)
{
    if (exceeds(d->bright_night, d->bright, NIGHT_SHARE))
        return document_finding(
            doc, FINDING_NOT_STATED, true, faults,
            "The sun is below the horizon of the stated place in %.0f %% of the readings with "
            "bright sunshine: are latitude and longitude in the right keys, south and west "
            "negative, and is the zone of the log's clock right?",
            100 * (double)d->bright_night / (double)d->bright);
    if (exceeds(d->bright_behind, d->bright, BEHIND_SHARE))
        return document_finding(
            doc, FINDING_NOT_STATED, true, faults,
            "The sun stands behind the collector in %.0f %% of the readings with bright sunshine: "
            "azimuth counts clockwise from north (south is 180 deg); is the place on the right "
            "side of the equator?",
            100 * (double)d->bright_behind / (double)d->bright);
    return true;
}

static bool sensor_findings(const struct angles_doubts *d, struct document *doc,
                            struct faults *faults)
{
    if (exceeds(d->diffuse_above, d->compared, ABOVE_SHARE) &&
        !document_finding(doc, FINDING_NOT_STATED, true, faults,
                          "Diffuse is above global on the level in %" PRIu64 " of %" PRIu64
                          " readings by day: did the two change places, or is a gain wrong?",
                          d->diffuse_above, d->compared))
        return false;
    if (d->pairs == 0)
        return true;
    double off = d->sum_made / d->sum_global - 1;
    bool doubt = fabs(off) > CLOSURE;
    return document_finding(doc, doubt ? FINDING_NOT_STATED : FINDING_LOG, doubt, faults,
                            "Diffuse and direct make %.1f %% %s than the global sensor shows%s.",
                            100 * fabs(off), off > 0 ? "more" : "less",
                            doubt ? ": one of the three is wrong, or the shade's correction" : "");
}

bool reduction_sun(const struct reduction *r, struct document *doc, struct faults *faults)
{
    if (r->angles.lamp)
        return lamp_findings(&r->setup.site, doc, faults);
    return angle_findings(r, doc, faults) && clock_findings(r, doc, faults) &&
           light_findings(&r->angles.doubts, doc, faults) &&
           sensor_findings(&r->angles.doubts, doc, faults) && reduction_sunpath(r, doc, faults);
}
