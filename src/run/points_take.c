#include "run/points_take.h"

#include "base/files.h"
#include "base/text.h"
#include "point/points_slips.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static bool read_tables(struct reduction *r, struct faults *faults)
{
    const struct stated_list *files = &r->setup.points.files;
    r->points_files = calloc(files->n + 1, sizeof *r->points_files);
    if (r->points_files == NULL)
        return fault_memory(faults);
    bool good = true;
    for (size_t i = 0; i < files->n; i++) {
        struct points_file *file = &r->points_files[r->n_points_files];
        file->path = path_beside(r->setup.path, files->items[i].text, faults);
        if (file->path == NULL)
            return false;
        r->n_points_files++;
        good &= points_load(&r->points_rows, file->path, files->n > 1, file->sha256, faults);
    }
    return good;
}

/* Flow times rise, with the fluid's own properties. */
static double power_of(const struct reduction *r, const struct means *m)
{
    const struct fluid *fluid = &r->setup.fluid;
    bool at_outlet = r->setup.fluid_choice.meter_at.index == METER_AT_OUTLET;
    double meter_degC = m->mean[at_outlet ? CH_OUTLET : CH_INLET];
    double mass_kg_s = m->has[CH_FLOW] ? m->mean[CH_FLOW] * fluid_density(fluid, meter_degC)
                                       : m->mean[CH_MASS_FLOW];
    return mass_kg_s * fluid_enthalpy_rise(fluid, m->mean[CH_INLET], m->mean[CH_OUTLET]);
}

static bool compare_power(struct reduction *r, size_t row, struct faults *faults)
{
    const struct means *m = &r->means.items[row];
    const struct points_compared *power = &r->points_rows.origins[row].power;
    char typed[64], other[64];
    if (isnan(power->si) || r->points_rows.origins[row].faulty || m->reduced)
        return true;
    double worked = power_of(r, m);
    if (!isfinite(worked) ||
        points_compared_agrees(power, worked,
                               POINTS_POWER_W + POINTS_POWER_SHARE * fabs(worked)))
        return true;
    struct fault *fault = points_rows_blame(&r->points_rows, row, true, faults);
    if (fault == NULL)
        return false;
    fault_found(fault, "the power is typed as %s, but flow and rise give %s",
                points_compared_typed(power, typed, sizeof typed),
                points_compared_worked(power, worked, other, sizeof other));
    fault_expected(fault, "numbers that agree to %.0f %% and half of the last digit",
                   100 * POINTS_POWER_SHARE);
    return true;
}

static bool keep_one(struct reduction *r, const struct stated_text *item, struct faults *faults)
{
    char name[VALUE_SIZE];
    struct place at = fault_at(r->setup.path, item->at.line, item->at.column);
    strcpy(name, item->text);
    char *comma = strchr(name, ',');
    if (comma == NULL || *text_trim(comma + 1) == '\0' || comma == name) {
        struct fault *fault = fault_new(faults, FAULT_INPUT, at);
        fault_found(fault, "'%s' does not say why the point is kept", item->text);
        fault_expected(fault, "the point's name, a comma and the reason");
        return false;
    }
    *comma = '\0';
    const char *point = text_trim(name);
    if (points_rows_keep(&r->points_rows, point))
        return true;
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    fault_found(fault, "there is no point named '%s' to keep", point);
    fault_hint(fault, "points are called by their names, or 'row' and their line");
    return false;
}

static bool keep_stated(struct reduction *r, struct faults *faults)
{
    bool good = true;
    for (size_t i = 0; i < r->setup.points.keep.n; i++)
        good &= keep_one(r, &r->setup.points.keep.items[i], faults);
    return good;
}

/* Rows that are right wait for those that are not. */
static void say_way_out(const struct reduction *r, struct faults *faults)
{
    size_t bad = 0;
    for (size_t i = 0; i < r->points_rows.n; i++)
        bad += r->points_rows.origins[i].faulty;
    struct fault *fault =
        fault_new(faults, FAULT_NOTE, fault_at(r->setup.path, r->setup.points.head.line, 0));
    fault_found(fault, "%zu of %zu rows of points %s faulty", bad, r->points_rows.n,
                bad == 1 ? "is" : "are");
    fault_hint(fault,
               "correct them, or see what the others say: 'etabench reduce --skip-bad %s' (check, "
               "compare, plan and predict take it too)",
               r->setup.path);
}

/* On without them, if that is asked for and leaves anything. */
static bool settle_bad(struct reduction *r, struct faults *faults)
{
    if (!r->skip_bad) {
        bool good = points_rows_refuse(&r->points_rows, faults);
        if (!good)
            say_way_out(r, faults);
        return good;
    }
    points_rows_drop(&r->points_rows);
    if (r->means.n > 0)
        return true;
    points_rows_refuse(&r->points_rows, faults);
    return false;
}

bool points_take(struct reduction *r, struct faults *faults)
{
    if (!read_tables(r, faults) || !points_slips_find(&r->points_rows, faults))
        return false;
    for (size_t row = 0; row < r->points_rows.n; row++)
        if (!compare_power(r, row, faults))
            return false;
    return points_rows_name(&r->points_rows, r->n_points_files > 1, faults) &&
           keep_stated(r, faults) && settle_bad(r, faults);
}
