#include "run/sun_means.h"

#include "sky/diffuse.h"

#include <math.h>

#define GROUND 0.2 /* grass and pale soil, common practice */
#define FLAT_RAD 0.45 /* 26 degrees: steeper, a day has another shape the other way round */
#define HALF_STEP_US INT64_C(30000000)

bool setup_angles_from_sun(const struct test_setup *setup)
{
    struct angles angles;
    setup_angles(setup, &angles);
    bool columns =
        instrument_of_channel(setup->instruments, setup->n_instruments, CH_TILT) != NULL ||
        instrument_of_channel(setup->instruments, setup->n_instruments, CH_AZIMUTH) != NULL;
    return angles.place && !angles.lamp && (angles.aimed || columns) &&
           instrument_of_channel(setup->instruments, setup->n_instruments, CH_INCIDENCE) == NULL;
}

bool setup_clock_can_be_asked(const struct test_setup *setup)
{
    struct angles angles;
    setup_angles(setup, &angles);
    return setup_angles_from_sun(setup) && angles.aimed && angles.mount.kind == MOUNT_FIXED &&
           angles.mount.tilt_rad > 0;
}

static struct clock_question question_of(const struct test_setup *setup)
{
    struct angles angles;
    const struct site *site = &setup->site;
    setup_angles(setup, &angles);
    return (struct clock_question){
        .latitude_rad = site->latitude_rad.value,
        .longitude_rad = site->longitude_rad.value,
        .altitude_m = site->altitude_m.value,
        .tilt_rad = angles.mount.tilt_rad,
        .azimuth_rad = angles.mount.azimuth_rad,
        .u_azimuth_rad = site->azimuth_error.at.given ? site->azimuth_error.u : NAN,
        .ground = angles.ground};
}

/* A rack that lies nearly flat. One day will do: it costs as much as the check of one. */
static bool fits_turned_round(const struct clock_question *question, const struct clear_days *days)
{
    struct clock_question turned = *question;
    turned.azimuth_rad += M_PI;
    return question->tilt_rad < FLAT_RAD &&
           clock_ask(&turned, days->kept, days->n_kept > 0 ? 1 : 0).verdict == CLOCK_FITS;
}

/* The course of a day on the level differs from that on a plane towards the noon sun by what a little
 * more or less haze makes: each sky is free, and so the one mostly fits as well as the other. */
static bool fits_level(const struct clock_question *question, const struct clear_days *days)
{
    struct clock_question level = *question;
    level.tilt_rad = 0;
    return question->tilt_rad > 0 &&
           clock_ask(&level, days->kept, days->n_kept > 0 ? 1 : 0).verdict == CLOCK_FITS;
}

void sun_clock(const struct test_setup *setup, const struct clear_days *days,
               struct sun_clock *clock)
{
    const struct clock_question question = question_of(setup);
    struct clock_answer *answer = &clock->answer;
    *answer = clock_ask(&question, days->kept, days->n_kept);
    bool unlike = answer->verdict == CLOCK_NO_SHAPE && answer->unlike > 0;
    clock->n_slips = 0;
    clock->either_way = answer->verdict == CLOCK_FITS && fits_turned_round(&question, days);
    clock->level_too = answer->verdict == CLOCK_FITS && fits_level(&question, days);
    if (unlike || answer->verdict == CLOCK_ZONE || answer->verdict == CLOCK_ELSEWHERE)
        clock->n_slips = slips_find(&question, days->kept, days->n_kept, clock->slips);
    if (unlike && clock->n_slips > 0)
        answer->verdict = CLOCK_ELSEWHERE;
}

void sun_doubt_points(struct angles *angles, const struct means_list *list)
{
    struct angles_doubts *doubts = &angles->doubts;
    for (size_t i = 0; i < list->n; i++) {
        const struct means *means = &list->items[i];
        double sunshine = means->mean[CH_IRRADIANCE];
        if (!means->has[CH_IRRADIANCE])
            continue;
        if (!means->sun.known || !(sunshine > ANGLES_BRIGHT_W_M2))
            continue;
        double height = means->sun.at[2];
        double incidence = means->has[CH_INCIDENCE] ? means->mean[CH_INCIDENCE] : NAN;
        double most =
            angles_brightest_W_m2(height, incidence, angles->altitude_m, angles->ground);
        angles_doubt_light(doubts, height, incidence, 1, sunshine > most);
    }
}

static void aim(const struct site *site, struct angles *angles)
{
    double tilt = site->tilt_rad.at.given ? site->tilt_rad.value : 0;
    switch ((enum site_mount)site->mount.index) {
    case SITE_ONE_AXIS:
        angles->mount =
            mount_one_axis(site->axis_tilt_rad.value, site->axis_azimuth_rad.value, tilt);
        break;
    case SITE_TWO_AXES:
        angles->mount = mount_two_axes();
        break;
    default:
        angles->mount = mount_fixed(tilt, site->azimuth_rad.value);
        angles->aimed = site->tilt_rad.at.given && (site->azimuth_rad.at.given || !(tilt > 0));
        return;
    }
    angles->aimed = true;
}

void setup_angles(const struct test_setup *setup, struct angles *angles)
{
    const struct site *site = &setup->site;
    angles_init(angles);
    angles->ground = site->ground.at.given ? site->ground.value : GROUND;
    if (site->mount.at.given && site->mount.index == SITE_LAMP) {
        angles->lamp = true;
        angles->lamp_rad = site->lamp_angle_rad.at.given ? site->lamp_angle_rad.value : NAN;
        return;
    }
    if (site_has_place(site))
        angles_place(angles, site->latitude_rad.value, site->longitude_rad.value,
                     site->altitude_m.value);
    if (site->mount.at.given)
        aim(site, angles);
    else
        angles->mount = mount_fixed(0, site->azimuth_rad.value);
}

static void put(struct vector v, double out[3])
{
    out[0] = v.x;
    out[1] = v.y;
    out[2] = v.z;
}

/* The mount's plane under the sun, columns of tilt and azimuth over what is stated.
 * Returns: whether it is known. */
static bool plane_under(const struct angles *angles, const struct means *means, struct vector sun,
                        struct plane *plane)
{
    struct mount mount = angles->mount;
    bool columns = means->has[CH_TILT] || means->has[CH_AZIMUTH];
    if (means->has[CH_TILT])
        mount.tilt_rad = means->mean[CH_TILT];
    if (means->has[CH_AZIMUTH])
        mount.azimuth_rad = means->mean[CH_AZIMUTH];
    if (columns)
        mount.kind = MOUNT_FIXED;
    *plane = mount_plane(&mount, sun);
    return angles->aimed || columns;
}

static void place_sun(struct angles *angles, struct means *means)
{
    struct means_sun *sun = &means->sun;
    int64_t middle_us = means->start_us + (means->end_us - means->start_us) / 2;
    if (!means->timed || !angles->place || angles->lamp || !sun_covers(middle_us))
        return;
    struct vector before = track_alone(&angles->track, middle_us - HALF_STEP_US);
    struct vector at = track_alone(&angles->track, middle_us);
    struct vector after = track_alone(&angles->track, middle_us + HALF_STEP_US);
    double per_s = 0.5e6 / (double)HALF_STEP_US;
    sun->known = true;
    put(at, sun->at);
    put(vector_sum(per_s, after, -per_s, before), sun->per_s);
    struct plane plane;
    sun->plane_known = plane_under(angles, means, at, &plane);
    if (!sun->plane_known)
        return;
    double flat = hypot(plane.normal.x, plane.normal.y);
    sun->tilt_rad = atan2(flat, plane.normal.z);
    sun->azimuth_rad = flat > 0 ? vector_azimuth_rad(plane.normal) : angles->mount.azimuth_rad;
    if (means->has[CH_INCIDENCE])
        return;
    means->has[CH_INCIDENCE] = true;
    means->mean[CH_INCIDENCE] = incidence_rad(&plane, at);
}

/* Of a window; a typed point's diffuse is one in the plane.
 * In: read   the log has a diffuse in the plane, and formed none */
static enum share_from share_from(const struct means *means, bool read)
{
    if (read || !means->sun.plane_known || !means->has[CH_INCIDENCE])
        return SHARE_FROM_PLANE;
    if (means->has[CH_DIRECT])
        return SHARE_FROM_DIRECT;
    if (!means->has[CH_LEVEL_DIFFUSE])
        return SHARE_FROM_PLANE;
    return means->has[CH_GLOBAL] ? SHARE_FROM_PAIR : SHARE_FROM_LEVEL;
}

static void split(struct angles *angles, struct means *means, bool diffuse_read)
{
    struct means_sun *sun = &means->sun;
    double plane = means->mean[CH_IRRADIANCE];
    sun->diffuse_share = NAN;
    if (!means->has[CH_IRRADIANCE] || !(plane > 0))
        return;
    if (means->has[CH_DIFFUSE]) {
        sun->share = SHARE_MEASURED;
        sun->from = share_from(means, diffuse_read);
        sun->ground = angles->ground;
        sun->diffuse_share = means->mean[CH_DIFFUSE] / plane;
        return;
    }
    if (!sun->plane_known || !means->has[CH_INCIDENCE])
        return;
    struct diffuse_scene scene = {sun->at[2], cos(means->mean[CH_INCIDENCE]), cos(sun->tilt_rad),
                                  angles->ground};
    double distance = sun_distance_au(&angles->track.sun, means->start_us);
    sun->diffuse_share =
        diffuse_estimate(&scene, plane, diffuse_above_air(distance), &sun->u_diffuse_share);
    if (isfinite(sun->diffuse_share))
        sun->share = SHARE_ESTIMATED;
}

/* An estimate is told, and meets no limit. */
static void leave_unverified(const struct means *means, struct verdicts *verdicts)
{
    if (means->sun.share != SHARE_ESTIMATED ||
        verdicts->state[RULE_DIFFUSE_MOST] != VERDICT_NOT_MEASURED)
        return;
    verdicts->state[RULE_DIFFUSE_MOST] = VERDICT_NOT_VERIFIED;
    verdicts->statistic[RULE_DIFFUSE_MOST] = means->sun.diffuse_share;
}

void sun_means(struct angles *angles, struct means_list *list, bool diffuse_read,
               struct finder *finder)
{
    bool lamp_angle = angles->lamp && isfinite(angles->lamp_rad);
    for (size_t i = 0; i < list->n; i++) {
        struct means *means = &list->items[i];
        if (lamp_angle && !means->has[CH_INCIDENCE]) {
            means->has[CH_INCIDENCE] = true;
            means->mean[CH_INCIDENCE] = angles->lamp_rad;
        }
        place_sun(angles, means);
        split(angles, means, diffuse_read);
        if (finder != NULL)
            leave_unverified(means, &finder->verdict[i]);
    }
}
