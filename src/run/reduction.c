#include "run/log_parts.h"
#include "run/reduction.h"

#include "base/calendar.h"
#include "domain/error_ageing.h"
#include "domain/surroundings.h"
#include "run/checks.h"
#include "run/points_take.h"
#include "run/reduction_log.h"
#include "run/setup_stage.h"
#include "run/sun_means.h"
#include "run/swaps.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

void reduction_init(struct reduction *r)
{
    memset(r, 0, sizeof *r);
    setup_init(&r->setup);
    log_set_init(&r->logs);
    log_set_init(&r->checks_logs);
    means_list_init(&r->means);
    points_rows_init(&r->points_rows, &r->means);
}

void reduction_forget_log(struct reduction *r)
{
    if (!r->from_log)
        return;
    finder_free(&r->finder);
    timeline_free(&r->timeline);
}

void reduction_free(struct reduction *r)
{
    reduction_forget_log(r);
    r->from_log = false;
    for (size_t i = 0; i < r->n_points_files; i++)
        free(r->points_files[i].path);
    free(r->points_files);
    free(r->checks);
    r->checks = NULL;
    r->n_checks = 0;
    r->points_files = NULL;
    r->n_points_files = 0;
    points_rows_free(&r->points_rows);
    means_list_free(&r->means);
    log_set_free(&r->logs);
    log_set_free(&r->checks_logs);
    setup_free(&r->setup);
}

/* Where a run finds the modifier, the limit on the angle refuses nothing: it chooses the points of
 * the curve. A run that takes points further off the normal has changed the limit. */
static void keep_oblique(struct reduction *r)
{
    struct rule *rule = &r->rules.rule[RULE_INCIDENCE_MOST];
    struct rule_value *limit = &rule->value;
    for (size_t i = 0; i < r->setup.n_runs; i++) {
        struct run_section *run = &r->setup.runs[i];
        if (run->kind != RUN_MODIFIER)
            continue;
        r->keeps_oblique = true;
        if (limit->on && !run->near_rad.at.given)
            run->near_normal_rad = fmin(limit->high, RUN_NEAR_NORMAL_MOST_RAD);
        if (limit->on && run->near_normal_rad > limit->high) {
            limit->high = run->near_normal_rad;
            rule->overridden = true;
        }
    }
}

bool reduction_describe(struct reduction *r, const char *path, struct faults *faults)
{
    size_t from = faults->n;
    bool good = setup_read(path, &r->setup, faults);
    good &= rules_section_settle(&r->setup, &r->rules, &r->criteria, faults);
    schema_sort_faults(faults, from);
    keep_oblique(r);
    return good;
}

/* An instrument of volume flow says nothing of a column of mass flow, nor the other way round:
 * its error would be dropped without a word. */
static bool meter_matches(const struct reduction *r, enum channel column, enum channel other,
                          struct faults *faults)
{
    const struct instrument *meter =
        instrument_of_channel(r->setup.instruments, r->setup.n_instruments, other);
    bool column_given = false, other_given = false;
    for (size_t i = 0; i < r->means.n; i++) {
        column_given |= r->means.items[i].has[column];
        other_given |= r->means.items[i].has[other];
    }
    if (meter == NULL || !column_given || other_given)
        return true;
    struct fault *fault = fault_new(
        faults, FAULT_INPUT, fault_at(r->setup.path, meter->head.line, meter->head.column));
    fault_found(fault, "the points give '%s', but instrument '%s' measures '%s'",
                channel_row(column)->word, meter->name, channel_row(other)->word);
    fault_hint(fault,
               "write 'measures = %s' and state its error for that, or give the points' column "
               "'%s'",
               channel_row(column)->word, channel_row(other)->word);
    return false;
}

static bool all_have(const struct means_list *list, enum channel channel)
{
    for (size_t i = 0; i < list->n; i++)
        if (!list->items[i].has[channel])
            return false;
    return true;
}

/* What is not known of wind and sky counts as an error: known only now whether points have them. */
static bool add_surroundings(struct reduction *r, struct faults *faults)
{
    bool sky = all_have(&r->means, CH_SKY) || all_have(&r->means, CH_LONGWAVE);
    return surroundings_expand(&r->setup.collector, &r->setup.site, all_have(&r->means, CH_WIND),
                               sky, &r->setup.errors, faults);
}

static bool any_estimated(const struct means_list *list)
{
    for (size_t i = 0; i < list->n; i++)
        if (list->items[i].sun.share == SHARE_ESTIMATED)
            return true;
    return false;
}

/* One model for all points: its error does not average down. */
static bool add_estimate(struct reduction *r, struct faults *faults)
{
    const struct error_source row = {
        .id = "diffuse.estimate",
        .label = "diffuse share, estimated from the sunshine in the plane",
        .cure = "a second pyranometer, shaded or on the level",
        .origin = "default: 0.05 of the sunshine under a clear sky, 0.15 otherwise (our figure)",
        .kind = ERROR_CALIBRATION,
        .u = 1.0,
        .dof = INFINITY,
        .n_targets = 1,
        .targets = {{SHIFT_DIFFUSE_SHARE, CH_DIFFUSE, 1.0}}};
    return !any_estimated(&r->means) || registry_add(&r->setup.errors, &row, faults);
}

/* The sun over the points, and how well it is known. */
static bool add_sun(struct reduction *r, struct faults *faults)
{
    const struct site *site = &r->setup.site;
    if (r->angles_refused)
        return true;
    bool diffuse_read = !r->from_log || instrument_of_channel(r->setup.instruments,
                                                              r->setup.n_instruments,
                                                              CH_DIFFUSE) != NULL;
    sun_means(&r->angles, &r->means, diffuse_read, r->from_log ? &r->finder : NULL);
    if (!r->from_log)
        sun_doubt_points(&r->angles, &r->means);
    if (!r->angles.lamp && !setup_angles_from_sun(&r->setup))
        return true;
    bool fixed = r->angles.mount.kind == MOUNT_FIXED;
    return site_expand(site, fixed && site->tilt_rad.at.given,
                       fixed && site->azimuth_rad.at.given, &r->setup.errors, faults) &&
           add_estimate(r, faults);
}

static bool refuse_published(const struct reduction *r, struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_INPUT, r->setup.curves.items[0].head);
    fault_found(fault, "curves from publications are all that it holds");
    fault_expected(fault, "[log] with the logger's files, or [points] with a table of points");
    fault_hint(fault, "'etabench compare %s ...' holds curves against tests and each other",
               r->setup.path);
    return false;
}

static bool refuse_untested(const struct reduction *r, struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(r->setup.path, 0, 0));
    fault_found(fault, "there is neither [log] nor [points]");
    fault_expected(fault, "[log] with the logger's files, or [points] with a table of points");
    fault_hint(fault,
               "without a test, 'etabench predict %s' says what the construction should give",
               r->setup.path);
    return false;
}

/* Local day of the first reading; UTC of points by hand. */
static int64_t first_day(const struct reduction *r)
{
    int64_t first = AGEING_DAY_UNKNOWN;
    if (r->from_log && r->logs.joined.rows > 0)
        return zone_day(log_set_zone(&r->logs), r->logs.joined.first_us);
    for (size_t i = 0; i < r->means.n && !r->from_log; i++) {
        const struct means *means = &r->means.items[i];
        int64_t day = means->timed ? calendar_day(means->start_us, 0) : AGEING_DAY_UNKNOWN;
        if (means->timed && (first == AGEING_DAY_UNKNOWN || day < first))
            first = day;
    }
    return first;
}

bool reduction_read(struct reduction *r, struct faults *faults)
{
    if (setup_untested(&r->setup))
        return r->untested_too || refuse_untested(r, faults);
    if (setup_published(&r->setup))
        return refuse_published(r, faults);
    if (r->setup.log.given && !log_parts_whole(&r->setup, faults))
        return false;
    setup_angles(&r->setup, &r->angles);
    if (!checks_make(r, faults))
        return false;
    bool good = r->setup.log.given
                    ? reduction_log_read(r, faults)
                    : points_take(r, faults) && meter_matches(r, CH_MASS_FLOW, CH_FLOW, faults) &&
                          meter_matches(r, CH_FLOW, CH_MASS_FLOW, faults) &&
                          checks_correct_points(r, faults);
    if (good)
        errors_age(r->setup.instruments, r->setup.n_instruments, first_day(r), &r->setup.errors);
    return good && add_sun(r, faults) && add_surroundings(r, faults) && swaps_apply(r, faults);
}
