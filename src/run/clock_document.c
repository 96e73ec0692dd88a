/* What the sunshine of clear days says of the log's clock, and of place and plane. */
#include "run/reduction_document.h"
#include "run/words.h"

#include <math.h>
#include <stdio.h>

#define DEG (180 / M_PI)

/* "5° further west": where the collector would face if the clock were right; "" where it could not
 * be that. */
static const char *turned_words(const struct reduction *r, char *out, size_t size)
{
    static const char *const sides[] = {"north", "east", "south", "west"};
    double turned_deg = r->clock.answer.azimuth_rad * DEG;
    double side = r->angles.mount.azimuth_rad * DEG + (turned_deg > 0 ? 90 : -90);
    if (isfinite(turned_deg))
        snprintf(out, size, "%.0f° further %s", fabs(turned_deg),
                 sides[(long)floor((side - 360 * floor(side / 360)) / 90 + 0.5) % 4]);
    else
        snprintf(out, size, "%s", "");
    return out;
}

/* "'azimuth = 180 deg' (it counts clockwise from north)" */
static void slip_words(const struct slip *slip, struct text *out)
{
    const struct clock_question *would = &slip->would;
    double latitude = would->latitude_rad * DEG, longitude = would->longitude_rad * DEG;
    double azimuth = would->azimuth_rad * DEG, tilt = would->tilt_rad * DEG;
    switch (slip->kind) {
    case SLIP_FROM_SOUTH:
    case SLIP_FROM_SOUTH_EAST:
        text_addf(out, "'azimuth = %.4g deg' (it counts clockwise from north)", azimuth);
        return;
    case SLIP_HEMISPHERE:
        text_addf(out, "'latitude = %.6g deg' (north of the equator is positive)", latitude);
        return;
    case SLIP_OTHER_SIDE:
        text_addf(out,
                  "'latitude = %.6g deg' (north of the equator is positive) and 'azimuth = %.4g "
                  "deg'",
                  latitude, azimuth);
        return;
    case SLIP_WEST:
        text_addf(out, "'longitude = %.6g deg' (east is positive)", longitude);
        return;
    case SLIP_SWAPPED:
        text_addf(out, "latitude and longitude exchanged ('latitude = %.6g deg', 'longitude = "
                       "%.6g deg')",
                  latitude, longitude);
        return;
    case SLIP_PERCENT:
        text_addf(out, "'tilt = %.3g deg' (the slope in percent, as an angle)", tilt);
        return;
    case SLIP_UPRIGHT:
        text_addf(out, "'tilt = %.4g deg' (it counts from horizontal)", tilt);
        return;
    case SLIPS:
        return;
    }
}

/* "; it would fit with ... or with ..."; nothing without slips. At most the three best. */
static void slips_words(const struct sun_clock *clock, struct text *out)
{
    enum { TOLD = 3 };
    for (size_t i = 0; i < clock->n_slips && i < TOLD; i++) {
        text_addf(out, "%s", i == 0 ? " As the clock stands it would fit with " : ", or with ");
        slip_words(&clock->slips[i], out);
    }
    if (clock->n_slips > 0)
        text_addf(out, "%s", ".");
}

static const char *refused_words(const struct reduction *r)
{
    return r->angles_refused
               ? " Angles from the sun's place are refused until that is put right, or until "
                 "[site] says 'clock checked = yes': windows and points are those of a test "
                 "without a [site]. No limit on angle or diffuse share was judged by the sun, and "
                 "its noon counts as unknown."
               : " Angles are formed all the same: the description says that the clock was "
                 "checked.";
}

static bool either_finding(const struct reduction *r, const char *days, const char *lag,
                           const char *way, struct document *doc, struct faults *faults)
{
    char turned[96];
    return document_finding(
        doc, FINDING_NOT_STATED, true, faults,
        "The sunshine of %s does not keep the sun's time: the log's clock is %s %s (± %.0f "
        "min), or the collector faces %s than stated. Sunshine alone cannot tell which: compare "
        "the clock, and the direction with a plumb line's shadow at the sun's noon.",
        days, lag, way, 2 * r->clock.answer.u_min, turned_words(r, turned, sizeof turned));
}

/* In: why   the rest of the first sentence, a comma or colon first */
static bool refused_finding(const struct reduction *r, const char *days, const char *lag,
                            const char *way, const char *why, struct document *doc,
                            struct faults *faults)
{
    char turned[96];
    struct text text = {0};
    turned_words(r, turned, sizeof turned);
    text_addf(&text,
              "The sunshine of %s does not keep the sun's time: the log's clock seems %s %s (± "
              "%.0f min)%s%s%s%s",
              days, lag, way, 2 * r->clock.answer.u_min, why,
              turned[0] != '\0' ? " (or the collector faces " : "", turned,
              turned[0] != '\0' ? ", which is less likely)." : ".");
    slips_words(&r->clock, &text);
    text_addf(&text, "%s", refused_words(r));
    bool good = text_ok(&text, faults) && document_finding(doc, FINDING_NOT_STATED, true, faults,
                                                           "%s", text_string(&text));
    text_free(&text);
    return good;
}

/* No clock makes the sunshine fit, but another place or plane does. */
static bool slip_finding(const struct reduction *r, const char *days, struct document *doc,
                         struct faults *faults)
{
    struct text text = {0};
    text_addf(&text,
              "The sunshine of %s does not fit the stated place, tilt and direction at any time "
              "of the clock.",
              days);
    slips_words(&r->clock, &text);
    text_addf(&text, "%s", refused_words(r));
    bool good = text_ok(&text, faults) && document_finding(doc, FINDING_NOT_STATED, true, faults,
                                                           "%s", text_string(&text));
    text_free(&text);
    return good;
}

static bool unlike_finding(const struct reduction *r, const char *days, struct document *doc,
                           struct faults *faults)
{
    return document_finding(
        doc, FINDING_NOT_STATED, true, faults,
        "The sunshine of %s is as smooth as a clear sky's, but fits none on the stated plane at "
        "any time of the clock (%.1f %% is left over): is the collector turned during the day, is "
        "it shaded, does the pyranometer lie in its plane, and are place, tilt and direction "
        "right? Clock and direction cannot be checked by it.",
        days, 100 * r->clock.answer.misfit);
}

static bool clock_off(const struct reduction *r, const char *days, struct document *doc,
                      struct faults *faults)
{
    const struct clock_answer *answer = &r->clock.answer;
    const char *way = answer->lag_min > 0 ? "slow" : "fast";
    char lag[32];
    words_duration(60 * round(fabs(answer->lag_min)), lag, sizeof lag);
    if (answer->verdict == CLOCK_EITHER)
        return either_finding(r, days, lag, way, doc, faults);
    if (answer->verdict == CLOCK_ZONE)
        return refused_finding(r, days, lag, way,
                               ", near a multiple of 15 min: its zone, or summer time, is not "
                               "what 'time' in [log] says",
                               doc, faults);
    if (answer->days == 0)
        return slip_finding(r, days, doc, faults);
    return refused_finding(r, days, lag, way,
                           ", which no zone explains: the place, the tilt or the direction is "
                           "another than stated, or the clock was set wrong",
                           doc, faults);
}

bool reduction_clock(const struct reduction *r, struct document *doc, struct faults *faults)
{
    const struct clock_answer *answer = &r->clock.answer;
    char days[64];
    if (!r->clock_asked)
        return !r->from_log || !setup_angles_from_sun(&r->setup) ||
               document_finding(doc, FINDING_LOG, false, faults,
                                "Clock: not checked. Only of a collector that stands still and "
                                "tilted, as stated, can the sunshine tell whether clock and "
                                "direction are right.");
    words_count(answer->days > 0 ? answer->days : answer->unlike, "clear day", days, sizeof days);
    switch (answer->verdict) {
    case CLOCK_NO_DAY:
        return document_finding(doc, FINDING_LOG, false, faults,
                                "Clock: no day has three clear hours, so the sunshine cannot tell "
                                "whether clock and direction are right.");
    case CLOCK_NO_SHAPE:
        if (answer->unlike > 0)
            return unlike_finding(r, days, doc, faults);
        return document_finding(doc, FINDING_LOG, false, faults,
                                "Clock: the clear hours do not show the shape of a whole clear "
                                "day, so the sunshine cannot tell whether clock and direction are "
                                "right.");
    case CLOCK_FITS:
        return document_finding(doc, FINDING_LOG, false, faults,
                                "Clock: on %s the sunshine keeps the sun's time within %.0f ± "
                                "%.0f min, and so clock and direction fit each other.%s%s",
                                days, fabs(answer->lag_min), 2 * answer->u_min,
                                r->clock.either_way
                                    ? " So flat a collector would fit as well if it faced the "
                                      "other way: look at that again."
                                    : "",
                                r->clock.level_too
                                    ? " Of the tilt it says nothing: a sun sensor that lies level "
                                      "would show the same course. Look that it lies in the "
                                      "collector's plane."
                                    : "");
    case CLOCK_EITHER:
    case CLOCK_ZONE:
    case CLOCK_ELSEWHERE:
        break;
    }
    return clock_off(r, days, doc, faults);
}
