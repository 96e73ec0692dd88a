/* Doubts about the unit of a whole column, which no reading shows by itself: what was measured is
 * rare, and would be usual in another unit. Nothing is refused, since it may be so. */
#include "base/calendar.h"
#include "base/text.h"
#include "run/reduction_document.h"

#include <math.h>
#include <stdio.h>

/* Our own figures. Air so hot at every point is rare outside of deserts, and the coldest water of a
 * test is near the air, as the standards ask for; in deserts too cold water so far below it is
 * rare. As degF both numbers are those of a cool day. */
#define AIR_HOT_DEGC 35.0
#define AIR_ABOVE_WATER_K 15.0

/* A fresh breeze: the standards end at 4 m/s, and no test is done in more for whole days. */
#define WIND_HIGH_M_S 8.0
#define SUNNY_W_M2 300.0

/* Nobody tests so far above the air: 200 K in 1000 W/m2. A usual end is 0.1; 0.05 in h ft2 degF/BTU
 * is 0.28. */
#define X_HIGH 0.2

enum { POINTS_LEAST = 3 };

static const struct instrument *sensor_of(const struct reduction *r, enum channel channel)
{
    return instrument_of_channel(r->setup.instruments, r->setup.n_instruments, channel);
}

/* The unit that the numbers were typed or logged in; NULL if there is none. */
static const struct unit *unit_of(const struct reduction *r, enum channel channel)
{
    const struct instrument *sensor = sensor_of(r, channel);
    if (!r->from_log)
        return r->points_rows.n > 0 ? r->points_rows.origins[0].unit[channel] : NULL;
    return sensor != NULL && sensor->signal.kind == SIGNAL_NONE ? sensor->unit : NULL;
}

/* Means of one channel over all points. Returns: false if any has none */
static bool range_of(const struct reduction *r, enum channel channel, double *least, double *most)
{
    *least = INFINITY;
    *most = -INFINITY;
    for (size_t i = 0; i < r->means.n; i++) {
        const struct means *means = &r->means.items[i];
        if (!means->has[channel])
            return false;
        *least = fmin(*least, means->mean[channel]);
        *most = fmax(*most, means->mean[channel]);
    }
    return r->means.n >= POINTS_LEAST;
}

static double of_degF(double degC)
{
    return (degC - 32.0) / 1.8;
}

static bool doubt_air(const struct reduction *r, struct document *doc, struct faults *faults)
{
    double least, most, coldest, hottest;
    const struct unit *unit = unit_of(r, CH_AMBIENT);
    const struct instrument *sensor = sensor_of(r, CH_AMBIENT);
    if (unit == NULL || !text_same(unit->name, "degC") ||
        !range_of(r, CH_AMBIENT, &least, &most) || !range_of(r, CH_INLET, &coldest, &hottest) ||
        least < AIR_HOT_DEGC || least - coldest < AIR_ABOVE_WATER_K)
        return true;
    char name[NAME_SIZE + 3] = "air";
    if (sensor != NULL)
        snprintf(name, sizeof name, "'%s'", sensor->name);
    return document_finding(
        doc, FINDING_ANSWER, true, faults,
        "Is the unit of %s right? It is %.0f to %.0f °C at all points: that is hot for air, and at "
        "least %.0f K more than the coldest water. Read as degF it would be %.0f to %.0f °C. If it "
        "was so hot, nothing needs to be done.",
        name, least, most, least - coldest, of_degF(least), of_degF(most));
}

/* Sunny time of one day, and that of it in high wind. */
struct windy_day {
    int64_t day;
    uint64_t sunny, high; /* readings */
};

static bool is_sunny(const struct timeline *timeline, size_t bin)
{
    return timeline_mean(timeline, bin, CH_IRRADIANCE) > SUNNY_W_M2;
}

/* Returns: on how many days there was sunshine, if on each of them the wind was high in more than
 * half of it; else 0. */
static size_t windy_days(const struct timeline *timeline)
{
    struct windy_day day = {.day = INT64_MIN};
    size_t n = 0;
    for (size_t bin = 0; bin < timeline->n; bin++) {
        int64_t now = timeline_bin_start_us(timeline, bin) / (S_PER_DAY * US_PER_S);
        uint64_t good = timeline->bins[bin].cell[CH_WIND].good;
        if (good == 0 || !is_sunny(timeline, bin))
            continue;
        if (now != day.day) {
            if (n > 0 && 2 * day.high <= day.sunny)
                return 0;
            day = (struct windy_day){.day = now};
            n++;
        }
        day.sunny += good;
        day.high += timeline_mean(timeline, bin, CH_WIND) > WIND_HIGH_M_S ? good : 0;
    }
    return n > 0 && 2 * day.high > day.sunny ? n : 0;
}

static bool doubt_wind(const struct reduction *r, struct document *doc, struct faults *faults)
{
    const struct unit *unit = unit_of(r, CH_WIND);
    if (!r->from_log || unit == NULL || !text_same(unit->name, "m/s"))
        return true;
    size_t days = windy_days(&r->timeline);
    if (days == 0)
        return true;
    return document_finding(
        doc, FINDING_ANSWER, true, faults,
        "Is the unit of '%s' right? It is above %.0f m/s in most of the sunshine%s: a fresh breeze "
        "and more, in which hardly anybody tests. Is it in km/h ('unit = km/h') or miles an hour "
        "('unit = mph')? If it was so windy, nothing needs to be done.",
        sensor_of(r, CH_WIND)->name, WIND_HIGH_M_S, days == 1 ? "" : " of every day");
}

static bool doubt_x(const struct reduction *r, struct document *doc, struct faults *faults)
{
    double most = 0;
    for (size_t i = 0; i < r->means.n; i++)
        if (r->means.items[i].reduced)
            most = fmax(most, fabs(r->means.items[i].x));
    if (most <= X_HIGH)
        return true;
    return document_finding(
        doc, FINDING_ANSWER, true, faults,
        "Is the unit of T* right? It reaches %.2g m² K/W, as with water %.0f K above the air in 1000 "
        "W/m², where hardly anybody tests. In h ft2 degF/BTU, which the head would have to say, it "
        "is %.2g m² K/W. If it is right, nothing needs to be done.",
        most, 1000 * most, 0.1761 * most);
}

bool reduction_units(const struct reduction *r, struct document *doc, struct faults *faults)
{
    return doubt_air(r, doc, faults) && doubt_wind(r, doc, faults) && doubt_x(r, doc, faults);
}
