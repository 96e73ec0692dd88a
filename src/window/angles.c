#include "window/angles.h"

#include "base/calendar.h"
#include "base/wide.h"
#include "ingest/span.h"
#include "sky/clear.h"
#include "sky/diffuse.h"

#include <math.h>
#include <string.h>

/* Heights as sines: a degree below the horizon; 10 degrees above. */
#define DOWN_SIN (-0.0175)
#define HIGH_SIN 0.1736
/* Beyond it, 5 degrees behind the plane. */
#define BEHIND_RAD 1.6581

/* Above the air where the sun is nearest (1361 W/m2 and 3.4 % more); from where on it is day. */
#define ABOVE_AIR_W_M2 1407.0
#define DAY_W_M2 50.0

#define MINUTE_US (S_PER_MIN * US_PER_S)
/* Farther than this from the normal a cubic over a minute errs by less than 3e-6 degrees. */
#define SMOOTH_RAD 0.0873

void angles_init(struct angles *angles)
{
    memset(angles, 0, sizeof *angles);
}

void angles_place(struct angles *angles, double latitude_rad, double longitude_rad,
                  double altitude_m)
{
    track_init(&angles->track, latitude_rad, longitude_rad, altitude_m);
    angles->altitude_m = altitude_m;
    angles->place = true;
}

bool angles_can(const struct angles *angles, const struct block *block)
{
    if (angles->lamp)
        return isfinite(angles->lamp_rad);
    bool columns = block->present[CH_TILT] || block->present[CH_AZIMUTH];
    return angles->place && (angles->aimed || columns);
}

bool angles_can_split(const struct angles *angles, const struct block *block)
{
    return angles->place && !angles->lamp && block->present[CH_INCIDENCE] &&
           block->present[CH_IRRADIANCE] &&
           (block->present[CH_DIRECT] || block->present[CH_LEVEL_DIFFUSE]);
}

static void fill_lamp(const struct angles *angles, const struct block *block, double *value,
                      uint8_t *flag)
{
    for (size_t i = 0; i < block->n; i++) {
        value[i] = angles->lamp_rad;
        flag[i] = FLAG_GOOD;
    }
}

/* The angle over one minute as a cubic of the part of it that is gone, through the angles at its
 * ends and a minute further off. */
struct minute {
    int64_t start_us;
    double c[4];
    bool smooth; /* false near the normal, where the angle turns back: then row by row */
};

static double angle_at(struct angles *angles, int64_t time_us)
{
    struct vector sun = track_at(&angles->track, time_us);
    struct plane plane = mount_plane(&angles->mount, sun);
    return incidence_rad(&plane, sun);
}

/* In time order one of the four angles is new each minute. */
static void fill_minutes(struct angles *angles, int64_t first)
{
    struct angles_minutes *minutes = &angles->minutes;
    int64_t shift = first - minutes->first;
    size_t kept = minutes->filled && shift >= 0 && shift < 4 ? (size_t)(4 - shift) : 0;
    for (size_t k = 0; k < kept; k++)
        minutes->at[k] = minutes->at[k + (size_t)shift];
    for (size_t k = kept; k < 4; k++)
        minutes->at[k] = angle_at(angles, (first + (int64_t)k) * MINUTE_US);
    minutes->first = first;
    minutes->filled = true;
}

static void form_minute(struct angles *angles, int64_t time_us, struct minute *minute)
{
    const double *at = angles->minutes.at;
    int64_t number = time_us / MINUTE_US - (time_us % MINUTE_US < 0);
    fill_minutes(angles, number - 1);
    minute->start_us = number * MINUTE_US;
    minute->smooth = true;
    for (int k = 0; k < 4; k++)
        minute->smooth = minute->smooth && at[k] > SMOOTH_RAD && at[k] < M_PI - SMOOTH_RAD;
    minute->c[0] = at[1];
    minute->c[1] = -at[0] / 3 - at[1] / 2 + at[2] - at[3] / 6;
    minute->c[2] = (at[0] + at[2]) / 2 - at[1];
    minute->c[3] = (at[3] - at[0]) / 6 + (at[1] - at[2]) / 2;
}

/* A plane that stands still or turns about one axis. */
static void fill_minutely(struct angles *angles, const struct block *block, double *value,
                       uint8_t *flag)
{
    for (size_t i = 0, end; i < block->n; i = end) {
        struct minute m;
        form_minute(angles, block->time_us[i], &m);
        end = span_end(block, i + 1, m.start_us + MINUTE_US);
        for (size_t k = i; k < end; k++) {
            double t = (double)(block->time_us[k] - m.start_us) / (double)MINUTE_US;
            value[k] = m.c[0] + t * (m.c[1] + t * (m.c[2] + t * m.c[3]));
        }
        for (size_t k = i; !m.smooth && k < end; k++)
            value[k] = angle_at(angles, block->time_us[k]);
    }
    memset(flag, FLAG_GOOD, block->n);
}

/* What follows the sun about two axes looks at it. */
static void fill_facing(const struct block *block, double *value, uint8_t *flag)
{
    memset(value, 0, block->n * sizeof *value);
    memset(flag, FLAG_GOOD, block->n);
}

/* The plane of one row: tilt and azimuth from columns where there are any.
 * Returns: false where a column's reading is not good; *flag then says why. */
static bool plane_of_row(const struct angles *angles, const struct block *block, size_t i,
                         struct vector sun, struct plane *plane, uint8_t *flag)
{
    static const enum channel columns[] = {CH_TILT, CH_AZIMUTH};
    struct mount mount = angles->mount;
    double *const into[] = {&mount.tilt_rad, &mount.azimuth_rad};
    for (size_t k = 0; k < 2; k++) {
        enum channel c = columns[k];
        if (!block->present[c])
            continue;
        *flag = block->flag[c][i];
        if (*flag != FLAG_GOOD)
            return false;
        mount.kind = MOUNT_FIXED;
        *into[k] = block->value[c][i];
    }
    *flag = FLAG_GOOD;
    *plane = mount_plane(&mount, sun);
    return true;
}

/* A rack that somebody turns. */
static void fill_moving(struct angles *angles, const struct block *block, double *value,
                        uint8_t *flag)
{
    for (size_t i = 0; i < block->n; i++) {
        struct vector sun = track_at(&angles->track, block->time_us[i]);
        struct plane plane;
        bool good = plane_of_row(angles, block, i, sun, &plane, &flag[i]);
        value[i] = good ? incidence_rad(&plane, sun) : NAN;
    }
}

void angles_incidence(struct angles *angles, const struct block *block, double *value,
                      uint8_t *flag)
{
    bool columns = block->present[CH_TILT] || block->present[CH_AZIMUTH];
    if (angles->lamp)
        fill_lamp(angles, block, value, flag);
    else if (angles->mount.kind == MOUNT_TWO_AXES && !columns)
        fill_facing(block, value, flag);
    else if (!columns)
        fill_minutely(angles, block, value, flag);
    else
        fill_moving(angles, block, value, flag);
}

static double reading(const struct block *block, enum channel channel, size_t i)
{
    bool good = block->present[channel] && block->flag[channel][i] == FLAG_GOOD;
    return good ? block->value[channel][i] : NAN;
}

/* Diffuse in the plane from whatever the row holds; NaN if a sensor's reading is not good. */
static double split_row(const struct angles *angles, const struct block *block, size_t i,
                        struct vector sun, struct vector normal)
{
    double plane = reading(block, CH_IRRADIANCE, i);
    double level = reading(block, CH_LEVEL_DIFFUSE, i);
    struct diffuse_scene scene = {sun.z, cos(reading(block, CH_INCIDENCE, i)), normal.z,
                                  angles->ground};
    if (block->present[CH_DIRECT])
        return diffuse_of_beam(&scene, plane, reading(block, CH_DIRECT, i));
    if (!block->present[CH_GLOBAL])
        return diffuse_of_level(&scene, plane, level);
    double beam = diffuse_beam_of_pair(&scene, reading(block, CH_GLOBAL, i), level);
    return diffuse_of_beam(&scene, plane, beam);
}

void angles_diffuse(struct angles *angles, const struct block *block, double *value, uint8_t *flag)
{
    for (size_t i = 0; i < block->n; i++) {
        struct vector sun = track_at(&angles->track, block->time_us[i]);
        struct plane plane;
        bool good = plane_of_row(angles, block, i, sun, &plane, &flag[i]);
        value[i] = good ? split_row(angles, block, i, sun, plane.normal) : NAN;
        if (good && !isfinite(value[i]))
            flag[i] = FLAG_MISSING;
    }
}

double angles_brightest_W_m2(double sin_height, double incidence_rad, double altitude_m,
                             double ground)
{
    struct clear_sky sky = clear_sky_at(sin_height, altitude_m, ABOVE_AIR_W_M2);
    double facing = isnan(incidence_rad) ? 1 : fmax(cos(incidence_rad), 0);
    double global = sky.diffuse + sky.beam_normal * fmax(sin_height, 0);
    return 1.2 * (sky.beam_normal * facing + sky.diffuse + ground * global) + 50;
}

void angles_doubt_light(struct angles_doubts *doubts, double sin_height, double incidence_rad,
                        uint64_t n, uint64_t too_bright)
{
    doubts->bright += n;
    doubts->bright_night += sin_height < DOWN_SIN ? n : 0;
    bool behind = sin_height > HIGH_SIN && incidence_rad > BEHIND_RAD;
    doubts->bright_behind += behind ? n : 0;
    doubts->too_bright += too_bright;
}

/* Bright rows of one minute, under one place of the sun. */
static void watch_light(struct angles *angles, const struct block *block, size_t first, size_t end,
                        double sin_height)
{
    const double *sunshine = block->value[CH_IRRADIANCE];
    double incidence = reading(block, CH_INCIDENCE, first);
    double most = fmax(ANGLES_BRIGHT_W_M2,
                       angles_brightest_W_m2(sin_height, incidence, angles->altitude_m,
                                             angles->ground));
    uint64_t bright = 0, too_bright = 0;
    for (size_t i = first; i < end; i++) {
        bright += sunshine[i] > ANGLES_BRIGHT_W_M2; /* NaN where not good */
        too_bright += sunshine[i] > most;
    }
    angles_doubt_light(&angles->doubts, sin_height, incidence, bright, too_bright);
}

/* Both in the plane, by day. */
WIDE_CLONES
static void watch_plane(struct angles_doubts *doubts, const struct block *block)
{
    const double *sunshine = block->value[CH_IRRADIANCE], *diffuse = block->value[CH_DIFFUSE];
    uint64_t compared = 0, above = 0;
    for (size_t i = 0; i < block->n; i++) {
        /* NaN where not good; no branches, so that it goes for several rows at once */
        uint64_t both = (sunshine[i] > DAY_W_M2) & (diffuse[i] > -INFINITY);
        compared += both;
        above += both & (diffuse[i] > 1.05 * sunshine[i] + 5);
    }
    doubts->plane_compared += compared;
    doubts->plane_above += above;
}

static void watch_level(struct angles_doubts *doubts, const struct block *block, size_t i,
                        double sin_height)
{
    double global = reading(block, CH_GLOBAL, i), diffuse = reading(block, CH_LEVEL_DIFFUSE, i);
    if (!(sin_height > HIGH_SIN) || !isfinite(global) || !isfinite(diffuse))
        return;
    doubts->compared++;
    doubts->diffuse_above += diffuse > 1.05 * global + 5;
    double direct = reading(block, CH_DIRECT, i);
    if (!isfinite(direct))
        return;
    doubts->pairs++;
    doubts->sum_global += global;
    doubts->sum_made += diffuse + direct * sin_height;
}

void angles_watch(struct angles *angles, const struct block *block, bool diffuse_read)
{
    bool level = block->present[CH_GLOBAL] && block->present[CH_LEVEL_DIFFUSE];
    if (!block->present[CH_IRRADIANCE])
        return;
    if (diffuse_read && block->present[CH_DIFFUSE])
        watch_plane(&angles->doubts, block);
    if (!angles->place || angles->lamp)
        return;
    for (size_t i = 0, end; i < block->n; i = end) {
        double sin_height = track_at(&angles->track, block->time_us[i]).z;
        end = span_end(block, i + 1, block->time_us[i] + MINUTE_US);
        watch_light(angles, block, i, end, sin_height);
        for (size_t k = i; level && k < end; k++)
            watch_level(&angles->doubts, block, k, track_at(&angles->track, block->time_us[k]).z);
    }
}
