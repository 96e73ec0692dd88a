/* What a reduction says of sun and angles. */
#include "run/reduction_document.h"
#include "run/sun_means.h"
#include "sky/vector.h"

#include <inttypes.h>
#include <math.h>
#include <stdio.h>

#define DEG (180 / M_PI)
/* Of the bright readings, from which on something is wrong; our figures. */
#define NIGHT_SHARE 0.02
#define BEHIND_SHARE 0.05
#define ABOVE_SHARE 0.02
#define TOO_BRIGHT_SHARE 0.2
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

/* No rule is judged of typed points: whether they are those of a curve is said here. */
static bool oblique_finding(const struct reduction *r, struct document *doc, struct faults *faults)
{
    const struct rule_value *limit = &r->rules.rule[RULE_INCIDENCE_MOST].value;
    double least, most;
    size_t beyond = 0;
    if (r->from_log || r->keeps_oblique || !limit->on ||
        !range_of(&r->means, angle_deg, &least, &most))
        return true;
    for (size_t i = 0; i < r->means.n; i++)
        beyond += angle_deg(&r->means.items[i]) > limit->high * DEG * (1 + 1e-9);
    if (beyond == 0)
        return true;
    return document_finding(
        doc, FINDING_WINDOWS, true, faults,
        "More than %.3g° off the collector's normal: %zu of %zu points (of all: %.1f to %.1f°). "
        "Glass lets less through there, so a curve of them is not that of the sun straight on it. "
        "'leave out' keeps points out; a run of 'kind = modifier' keeps these apart, and finds "
        "what the angle does.",
        limit->high * DEG, beyond, r->means.n, least, most);
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

static bool exceeds(uint64_t part, uint64_t whole, double share)
{
    return whole > 0 && (double)part > share * (double)whole;
}

/* "readings with bright sunshine", "bright points" */
static const char *bright_words(const struct reduction *r)
{
    return r->from_log ? "readings with bright sunshine" : "points with bright sunshine";
}

static bool behind_finding(const struct reduction *r, double percent, struct document *doc,
                           struct faults *faults)
{
    bool placed = setup_angles_from_sun(&r->setup);
    return document_finding(
        doc, FINDING_NOT_STATED, true, faults,
        "The sun stands behind the collector in %.0f %% of the %s: %s", percent, bright_words(r),
        placed ? "azimuth counts clockwise from north (south is 180 deg), the tilt from "
                 "horizontal; is the place on the right side of the equator?"
               : "the angle of incidence counts from the collector's normal (0 deg with the sun "
                 "straight on it); is it the sun's height, or in another unit?");
}

/* One of them: the first is the plainest sign. */
static bool light_findings(const struct reduction *r, struct document *doc, struct faults *faults)
{
    const struct angles_doubts *d = &r->angles.doubts;
    double whole = 100 / (double)(d->bright > 0 ? d->bright : 1);
    if (r->clock_asked && r->clock.n_slips > 0)
        return true; /* the slip is named already */
    if (exceeds(d->bright_night, d->bright, NIGHT_SHARE))
        return document_finding(
            doc, FINDING_NOT_STATED, true, faults,
            "The sun is below the horizon of the stated place in %.0f %% of the %s: are latitude "
            "and longitude in the right keys, south and west negative, and is the zone of the "
            "%s right?",
            whole * (double)d->bright_night, bright_words(r),
            r->from_log ? "log's clock" : "points' times");
    if (exceeds(d->bright_behind, d->bright, BEHIND_SHARE))
        return behind_finding(r, whole * (double)d->bright_behind, doc, faults);
    if (!exceeds(d->too_bright, d->bright, TOO_BRIGHT_SHARE))
        return true;
    return document_finding(
        doc, FINDING_NOT_STATED, true, faults,
        "In %.0f %% of the %s the collector is brighter, by a fifth and more, than a clear sky "
        "could make it with the sun where place, time and direction put it: is the place on the "
        "right side of the equator (latitude positive north of it), does the azimuth count "
        "clockwise from north (south is 180 deg) and the tilt from horizontal, and is the clock "
        "right? If all are, the sunshine's unit or calibration is not.",
        whole * (double)d->too_bright, bright_words(r));
}

static bool diffuse_finding(const char *what, uint64_t above, uint64_t compared,
                            struct document *doc, struct faults *faults)
{
    return !exceeds(above, compared, ABOVE_SHARE) ||
           document_finding(doc, FINDING_NOT_STATED, true, faults,
                            "Diffuse is above %s in %" PRIu64 " of %" PRIu64
                            " readings by day, of which it is a part: did the two change places, "
                            "or is a unit, a gain or the shade's correction wrong?",
                            what, above, compared);
}

static bool sensor_findings(const struct angles_doubts *d, struct document *doc,
                            struct faults *faults)
{
    if (!diffuse_finding("global on the level", d->diffuse_above, d->compared, doc, faults) ||
        !diffuse_finding("all sunshine in the collector's plane", d->plane_above,
                         d->plane_compared, doc, faults))
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
    const struct angles_doubts *doubts = &r->angles.doubts;
    if (!oblique_finding(r, doc, faults) || !sensor_findings(doubts, doc, faults))
        return false;
    if (r->angles.lamp)
        return lamp_findings(&r->setup.site, doc, faults);
    return angle_findings(r, doc, faults) && reduction_clock(r, doc, faults) &&
           light_findings(r, doc, faults) && reduction_sunpath(r, doc, faults);
}
