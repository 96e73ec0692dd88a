/* The picture of the sun's path over the test, with its windows. */
#include "base/calendar.h"
#include "run/reduction_document.h"
#include "sky/track.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { DAYS_MAX = 6, COLUMNS = 4 };
#define DEG (180 / M_PI)
#define NAMES_APART_DEG 4.0
#define STEP_US (INT64_C(300) * US_PER_S)
static const double ring_deg[] = {20, 40, 60, 80};

struct picture {
    struct track track;
    double middle_deg; /* azimuth in the middle */
    double from_deg, to_deg;
    int64_t drawn_to_us; /* end of the last day that is drawn */
    /* The name of the days just drawn, not yet put. */
    char first_day[16], last_day[16];
    double name_azimuth_deg, name_height_deg;
    struct table *table;
    struct faults *faults;
};

/* An azimuth on the axis of the picture, without a jump in its middle. */
static double on_axis(const struct picture *picture, double azimuth_rad)
{
    double off = azimuth_rad * DEG - picture->middle_deg;
    return picture->middle_deg + off - 360 * floor((off + 180) / 360);
}

static bool put(struct picture *picture, const char *part, double azimuth_deg, double height_deg,
                const char *name)
{
    struct cell cells[COLUMNS] = {cell_text(part), cell_number(azimuth_deg),
                                  cell_number(height_deg), cell_text(name)};
    return table_row(picture->table, cells, picture->faults);
}

static bool put_direction(struct picture *picture, const char *part, struct vector v)
{
    double azimuth = on_axis(picture, vector_azimuth_rad(v));
    double height = vector_height_rad(v) * DEG;
    return put(picture, part, height >= 0 ? azimuth : NAN, height >= 0 ? height : NAN, "");
}

static bool put_break(struct picture *picture, const char *part)
{
    return put(picture, part, NAN, NAN, "");
}

/* The sun from one instant to another. */
static bool put_stretch(struct picture *picture, const char *part, int64_t from_us, int64_t to_us)
{
    for (int64_t at = from_us; at < to_us; at += STEP_US)
        if (!put_direction(picture, part, track_alone(&picture->track, at)))
            return false;
    return put_direction(picture, part, track_alone(&picture->track, to_us)) &&
           put_break(picture, part);
}

static bool put_name(struct picture *picture)
{
    char name[40];
    if (picture->first_day[0] == '\0')
        return true;
    bool one = strcmp(picture->first_day, picture->last_day) == 0;
    snprintf(name, sizeof name, "%s%s%s", picture->first_day, one ? "" : " to ",
             one ? "" : picture->last_day);
    picture->first_day[0] = '\0';
    return put(picture, "day name", picture->name_azimuth_deg, picture->name_height_deg, name);
}

/* Days whose paths lie close together share a name, over the first of them. */
static bool name_day(struct picture *picture, const char *date, struct vector top)
{
    double height_deg = vector_height_rad(top) * DEG;
    bool close = picture->first_day[0] != '\0' &&
                 fabs(height_deg - picture->name_height_deg) < NAMES_APART_DEG;
    if (!close) {
        if (!put_name(picture))
            return false;
        snprintf(picture->first_day, sizeof picture->first_day, "%.10s", date);
        picture->name_azimuth_deg = on_axis(picture, vector_azimuth_rad(top));
        picture->name_height_deg = height_deg;
    }
    snprintf(picture->last_day, sizeof picture->last_day, "%.10s", date);
    return true;
}

/* A day's path is named where the sun stands highest. */
static bool put_day(struct picture *picture, const struct reduction *r, int64_t day)
{
    int64_t from_us = zone_day_us(log_set_zone(&r->logs), day),
            to_us = zone_day_us(log_set_zone(&r->logs), day + 1);
    char name[40];
    struct vector top = {0, 0, -1};
    zone_plain(log_set_zone(&r->logs), from_us, name, sizeof name);
    for (int64_t at = from_us; at < to_us; at += STEP_US) {
        struct vector sun = track_alone(&picture->track, at);
        top = sun.z > top.z ? sun : top;
        if (sun.z < 0)
            continue;
        double azimuth = on_axis(picture, vector_azimuth_rad(sun));
        picture->from_deg = fmin(picture->from_deg, azimuth);
        picture->to_deg = fmax(picture->to_deg, azimuth);
    }
    picture->drawn_to_us = to_us;
    return put_stretch(picture, "path", from_us, to_us) && name_day(picture, name, top);
}

static bool put_days(struct picture *picture, const struct reduction *r)
{
    int64_t last = 0;
    int drawn = 0;
    for (size_t i = 0; i < r->means.n && drawn < DAYS_MAX; i++) {
        int64_t day = zone_day(log_set_zone(&r->logs), r->means.items[i].start_us);
        if (drawn > 0 && day == last)
            continue;
        if (!put_day(picture, r, day))
            return false;
        last = day;
        drawn++;
    }
    int64_t first = zone_day(log_set_zone(&r->logs), r->logs.joined.first_us);
    return (drawn > 0 || put_day(picture, r, first)) && put_name(picture);
}

/* Those of the days that are drawn. */
static bool put_windows(struct picture *picture, const struct reduction *r)
{
    for (size_t i = 0; i < r->means.n; i++)
        if (r->means.items[i].start_us < picture->drawn_to_us &&
            !put_stretch(picture, "window", r->means.items[i].start_us, r->means.items[i].end_us))
            return false;
    return true;
}

static struct vector on_ring(const struct plane *plane, double angle_rad, double turn_rad)
{
    struct vector about =
        vector_sum(cos(turn_rad), plane->up_slope, sin(turn_rad), plane->across);
    return vector_sum(cos(angle_rad), plane->normal, sin(angle_rad), about);
}

/* A ring is named at its lowest place above the horizon, right of the collector. */
static bool name_ring(struct picture *picture, const struct plane *plane, double angle_deg)
{
    struct vector lowest = {0, 0, 2};
    char name[16];
    for (int turn = 0; turn <= 180; turn += 2) {
        struct vector at = on_ring(plane, angle_deg / DEG, turn / DEG);
        lowest = at.z > 0.05 && at.z < lowest.z ? at : lowest;
    }
    snprintf(name, sizeof name, "%.0f°", angle_deg);
    return lowest.z > 1 || put(picture, "ring name", on_axis(picture, vector_azimuth_rad(lowest)),
                               vector_height_rad(lowest) * DEG, name);
}

/* Directions at an angle about the normal. The line breaks where it leaves the picture on a side.
 * */
static bool put_ring(struct picture *picture, const struct plane *plane, double angle_deg)
{
    double before = NAN;
    for (int turn = 0; turn <= 360; turn += 2) {
        struct vector at = on_ring(plane, angle_deg / DEG, turn / DEG);
        double azimuth = on_axis(picture, vector_azimuth_rad(at));
        if (fabs(azimuth - before) > 90 && !put_break(picture, "ring"))
            return false;
        before = azimuth;
        if (!put_direction(picture, "ring", at))
            return false;
    }
    return put_break(picture, "ring") && name_ring(picture, plane, angle_deg);
}

static bool put_collector(struct picture *picture, const struct mount *mount)
{
    struct plane plane = mount_plane(mount, (struct vector){0, 0, 1});
    for (size_t i = 0; i < sizeof ring_deg / sizeof ring_deg[0]; i++)
        if (!put_ring(picture, &plane, ring_deg[i]))
            return false;
    return put_direction(picture, "normal", plane.normal);
}

static bool add_figure(const struct picture *picture, const struct reduction *r, bool fixed,
                       struct document *doc)
{
    char title[160], count[64];
    snprintf(count, sizeof count, "%zu steady window%s", r->means.n, r->means.n == 1 ? "" : "s");
    snprintf(title, sizeof title, "Path of the sun over the test, with its %s", count);
    struct figure *figure = document_figure(
        doc, "sunpath", "sunpath", title,
        fixed ? "Height of the sun against its azimuth on the days with windows, the windows as "
                "thick lines, and rings of equal angle about the collector's normal."
              : "Height of the sun against its azimuth on the days with windows, the windows as "
                "thick lines.",
        "sunpath", picture->faults);
    double from = fmax(15 * floor(picture->from_deg / 15), picture->middle_deg - 180);
    double to = fmin(15 * ceil(picture->to_deg / 15), picture->middle_deg + 180);
    return figure != NULL &&
           figure_set_number(figure, "middle", picture->middle_deg, picture->faults) &&
           figure_set_number(figure, "rings", fixed ? 1 : 0, picture->faults) &&
           figure_set_number(figure, "from", from, picture->faults) &&
           figure_set_number(figure, "to", to, picture->faults);
}

bool reduction_sunpath(const struct reduction *r, struct document *doc, struct faults *faults)
{
    struct column columns[COLUMNS] = {
        {.id = "part", .label = "part", .unit = "", .kind = CELL_TEXT},
        {.id = "azimuth", .label = "azimuth", .unit = "deg", .kind = CELL_NUMBER, .digits = 2},
        {.id = "height", .label = "height", .unit = "deg", .kind = CELL_NUMBER, .digits = 2},
        {.id = "name", .label = "name", .unit = "", .kind = CELL_TEXT},
    };
    if (!r->from_log || !r->angles.place || r->angles_refused ||
        !sun_covers(r->logs.joined.first_us) || !sun_covers(r->logs.joined.last_us))
        return true;
    const struct angles *angles = &r->angles;
    bool fixed = angles->aimed && angles->mount.kind == MOUNT_FIXED;
    struct picture picture = {.track = angles->track, .faults = faults};
    struct vector noon = {0, 0, -1};
    for (int64_t at = 0; at < 288; at++) {
        struct vector sun = track_alone(&picture.track, r->logs.joined.first_us + at * STEP_US);
        noon = sun.z > noon.z ? sun : noon;
    }
    picture.middle_deg = noon.y < 0 ? 180 : 0;
    picture.from_deg = picture.middle_deg - 30;
    picture.to_deg = picture.middle_deg + 30;
    picture.table = document_table(doc, "sunpath", "Path of the sun",
                                   "Seen through the air; azimuth clockwise from north.", columns,
                                   COLUMNS, faults);
    return picture.table != NULL && put_days(&picture, r) && put_windows(&picture, r) &&
           (!fixed || put_collector(&picture, &angles->mount)) &&
           add_figure(&picture, r, fixed, doc);
}
