/* A day of the log that gave no window though the sun shone, while others gave many: a sensor that
 * changed place, a column that became another, a unit that was changed. */
#include "run/reduction_document.h"
#include "run/words.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Our own figures. Candidates of 2.5 h are 3 h of readings, with the window and its conditioning; a
 * limit that nearly all of them fail; clouds that break most of them are reason enough. */
#define CANDIDATES_S 9000.0
#define NEARLY_ALL 0.9
#define CLOUDY 0.5
/* A day under thin cloud warms the water by less than half of what full sun does, or by as much for
 * each W/m2: twice as much is no better efficiency. */
#define WARMED_AS_OTHERS 0.5
#define MORE_HEAT_PER_SUN 2.0
enum { WINDOWS_ELSEWHERE = 3, DAYS_NAMED = 3 };

struct others {
    size_t windows;
    double rise_K; /* mean of the windows */
    double heat_per_sun; /* of the day that has most of it */
};

static double heat_per_sun(const struct day_heat *heat)
{
    return heat->heat / heat->sun;
}

static struct others windows_of(const struct days *days)
{
    struct others others = {0};
    for (size_t i = 0; i < days->n; i++) {
        others.windows += days->items[i].windows;
        others.rise_K += days->items[i].window_rise_K;
        if (days->items[i].windows > 0)
            others.heat_per_sun =
                fmax(others.heat_per_sun, heat_per_sun(&days->items[i].window_heat));
    }
    others.rise_K /= (double)others.windows;
    return others;
}

/* Sunshine, wind and the sun's angle are the day's own. */
static bool is_weather(enum rule_id limit)
{
    enum channel c = rule_row(limit)->channel;
    return c == CH_IRRADIANCE || c == CH_WIND || c == CH_DIFFUSE || c == CH_INCIDENCE;
}

/* The limit that nearly all candidates of sunshine fail; RULE_COUNT: none, or the weather's. */
static enum rule_id culprit(const struct day_share *sunny)
{
    enum rule_id most = RULE_IRRADIANCE_LEAST;
    if (sunny->seconds < CANDIDATES_S ||
        sunny->failed_s[RULE_IRRADIANCE_DEVIATION] > CLOUDY * sunny->seconds)
        return RULE_COUNT;
    for (int id = 0; id < RULE_LIMITS; id++)
        if (sunny->failed_s[id] > sunny->failed_s[most])
            most = (enum rule_id)id;
    bool told = sunny->failed_s[most] >= NEARLY_ALL * sunny->seconds && !is_weather(most);
    return told ? most : RULE_COUNT;
}

static const char *date_of(const struct reduction *r, const struct day_found *day, char out[40])
{
    const struct zone *zone = log_set_zone(&r->logs);
    zone_iso(zone, zone_day_us(zone, day->day), out, 40);
    out[strcspn(out, "T")] = '\0';
    return out;
}

static bool say_sunny(const struct reduction *r, const struct day_found *day, enum rule_id limit,
                      struct document *doc, struct faults *faults)
{
    char date[40], hours[40];
    bool turned = day->sunny.rise_K_s < 0.0;
    bool drifts = rule_row(limit)->channel == CH_INLET;
    return document_finding(
        doc, FINDING_WINDOWS, true, faults,
        "On %s no window was found, though the sun shone: '%s' refused nearly every candidate in "
        "%s%s.%s",
        date_of(r, day, date), rule_row(limit)->key,
        words_duration(day->sunny.seconds, hours, sizeof hours),
        turned ? ", and the outlet reads lower than the inlet" : "",
        turned || !drifts ? " Are sensors, columns and units those of the other days?" : "");
}

static bool say_dim(const struct reduction *r, const struct day_found *day, struct document *doc,
                    struct faults *faults)
{
    char date[40], hours[40];
    return document_finding(
        doc, FINDING_WINDOWS, true, faults,
        "On %s no window was found: for %s the sunshine reads weaker than '%s' asks, and yet the "
        "water is warmed by %.1f K, much as on other days. Is its sensor in place, and its "
        "column's "
        "unit that of the other days?",
        date_of(r, day, date), words_duration(day->dim.seconds, hours, sizeof hours),
        rule_row(RULE_IRRADIANCE_LEAST)->key, day->dim.rise_K_s / day->dim.seconds);
}

/* Warmer than its sunshine explains. */
static bool is_too_dim(const struct day_share *dim, const struct others *others)
{
    return dim->seconds >= CANDIDATES_S &&
           dim->rise_K_s >= WARMED_AS_OTHERS * others->rise_K * dim->seconds &&
           dim->heat.heat > MORE_HEAT_PER_SUN * others->heat_per_sun * dim->heat.sun;
}

bool reduction_days(const struct reduction *r, struct document *doc, struct faults *faults)
{
    const struct days *days = &r->finder.days;
    struct others others = windows_of(days);
    int named = 0;
    if (others.windows < WINDOWS_ELSEWHERE)
        return true;
    for (size_t i = 0; i < days->n && named < DAYS_NAMED; i++) {
        const struct day_found *day = &days->items[i];
        enum rule_id limit = culprit(&day->sunny);
        if (day->windows > 0 || (limit == RULE_COUNT && !is_too_dim(&day->dim, &others)))
            continue;
        named++;
        if (!(limit != RULE_COUNT ? say_sunny(r, day, limit, doc, faults)
                                  : say_dim(r, day, doc, faults)))
            return false;
    }
    return true;
}
