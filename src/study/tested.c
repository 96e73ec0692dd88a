#include "study/tested.h"

#include "base/files.h"
#include "run/efficiency_doubts.h"
#include "run/efficiency_points.h"
#include "run/joint_curve.h"
#include "run/setup_point.h"
#include "run/setup_stage.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const struct run_section *first_curve(const struct test_setup *setup)
{
    for (size_t i = 0; i < setup->n_runs; i++)
        if (run_gives_curve(&setup->runs[i]))
            return &setup->runs[i];
    return NULL;
}

static bool require_curve(struct tested *tested, const char *path, struct faults *faults)
{
    tested->run = first_curve(&tested->reduction->setup);
    if (tested->run != NULL)
        return true;
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(path, 0, 0));
    fault_found(fault, "no run of it asks for a curve");
    fault_expected(fault,
                   "a section [run NAME] with 'kind = efficiency', or a modifier's with 'curve "
                   "= together'");
    return false;
}

static void take_name(struct tested *tested, const char *path)
{
    const struct stated_text *name = &tested->reduction->setup.collector.name;
    snprintf(tested->name, sizeof tested->name, "%.95s",
             name->at.given ? name->text : path_base(path));
}

static bool no_room(const char *path, size_t most, struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_USAGE, fault_at(path, 0, 0));
    fault_found(fault, "these are more than %zu collectors", most);
    fault_hint(fault, "compare fewer at a time; each [curve NAME] counts as one");
    return false;
}

/* Copies the section: its description may be gone when it is used. */
static bool take_curve(struct tested *tested, const struct test_setup *setup,
                       const struct curve_section *curve, struct faults *faults)
{
    tested->is_stated = true;
    tested->section = *curve;
    snprintf(tested->name, sizeof tested->name, "%s", curve->name);
    tested->reduction = malloc(sizeof *tested->reduction);
    if (tested->reduction == NULL)
        return fault_memory(faults);
    reduction_init(tested->reduction);
    tested->reduction->setup.path = text_copy(setup->path, faults);
    tested->section.head.file = tested->reduction->setup.path;
    memcpy(tested->reduction->setup.sha256, setup->sha256, sizeof setup->sha256);
    return tested->section.head.file != NULL;
}

/* The test of a described reduction takes it over; the curves that it states come behind. */
static bool take_all(struct tested *tests, size_t most, size_t *n, struct reduction *reduction,
                     const char *path, struct faults *faults)
{
    const struct curve_sections *curves = &reduction->setup.curves;
    bool published = setup_published(&reduction->setup);
    struct tested *test = NULL;
    bool good = curves->n + (published ? 0 : 1) <= most - *n || no_room(path, most, faults);
    if (good && !published) {
        test = &tests[(*n)++];
        test->reduction = reduction;
        take_name(test, path);
        good = require_curve(test, path, faults) && reduction_read(reduction, faults);
    }
    for (size_t i = 0; good && i < curves->n; i++)
        good = take_curve(&tests[(*n)++], &reduction->setup, &curves->items[i], faults);
    if (test == NULL) {
        reduction_free(reduction);
        free(reduction);
    }
    return good;
}

bool tested_read(struct tested *tests, size_t most, size_t *n, const char *path,
                 const struct tested_how *how, struct faults *faults)
{
    struct reduction *reduction = malloc(sizeof *reduction);
    if (reduction == NULL)
        return fault_memory(faults);
    memset(&tests[*n], 0, (most - *n) * sizeof *tests);
    reduction_init(reduction);
    reduction->progress = how->progress;
    reduction->skip_bad = how->skip_bad;
    if (reduction_describe(reduction, path, faults))
        return take_all(tests, most, n, reduction, path, faults);
    reduction_free(reduction);
    free(reduction);
    return false;
}

bool tested_has_area(const struct tested *tested, enum area_reference area)
{
    return tested->is_stated ? stated_curve_has_area(&tested->section, area)
                             : tested->reduction->setup.collector.area[area].at.given;
}

static bool no_points(const struct tested *tested, struct faults *faults)
{
    const char *path = tested->reduction->setup.path;
    struct fault *fault = fault_new(faults, FAULT_DATA, fault_at(path, 0, 0));
    fault_found(fault, "there is no steady window to compare by");
    fault_hint(fault, "'etabench check %s' says which limits refused, and what would admit", path);
    return false;
}

/* The reference area as the study wants it. A collector's relative error of area goes with it. */
static void take_basis(struct tested *tested, const struct tested_basis *basis)
{
    struct collector *collector = &tested->reduction->setup.collector;
    collector->reference = basis->area;
    double ratio = collector->area_m2 / collector->area[basis->area].value;
    collector->area_m2 = collector->area[basis->area].value;
    collector->capacity_J_m2K *= ratio; /* per m2 of the reference area, as its error */
    struct error_registry *errors = &tested->reduction->setup.errors;
    for (size_t i = 0; i < errors->n; i++)
        if (errors->rows[i].targets[0].what == SHIFT_CAPACITY)
            errors->rows[i].u *= ratio;
    tested->setup = setup_point(&tested->reduction->setup, basis->temperature);
    tested->setup.wind_origin_m_s = tested->run->wind_origin_m_s;
    tested->setup.tubes_level = tested->run->tubes_level;
}

static bool bring_stated(struct tested *tested, const struct tested_basis *basis,
                         struct faults *faults)
{
    const struct stated_range *range = &tested->section.range;
    struct stated_wish wish = {.area = basis->area,
                               .inlet = basis->temperature == BASIS_INLET,
                               .g_W_m2 = basis->g_W_m2,
                               .x_low = range->at.given ? range->low : basis->x_low,
                               .x_high = range->at.given ? range->high : basis->x_high};
    if (!stated_curve_bring(&tested->stated, &tested->section, &wish, faults))
        return false;
    stated_curve_as_efficiency(&tested->stated, &wish, &tested->e);
    return true;
}

bool tested_fit(struct tested *tested, const struct tested_basis *basis, struct faults *faults)
{
    if (tested->is_stated)
        return bring_stated(tested, basis, faults);
    const struct means_list *means = &tested->reduction->means;
    struct efficiency_request request = efficiency_request(tested->run);
    if (means->n == 0)
        return no_points(tested, faults);
    take_basis(tested, basis);
    tested->points = calloc(means->n, sizeof *tested->points);
    if (tested->points == NULL)
        return fault_memory(faults);
    size_t from = faults->n;
    bool good = tested->run->kind == RUN_MODIFIER
                    ? joint_curve(tested->reduction, tested->run, &tested->setup, tested->points,
                                  &tested->e, faults)
                    : efficiency_points(tested->reduction, tested->run, &tested->setup,
                                        tested->points, faults) &&
                          efficiency_fit(&tested->e, tested->points, means->n, &tested->setup,
                                         &tested->reduction->setup.errors, &request, faults) &&
                          efficiency_refuse_nothing(&tested->e, tested->reduction->from_log,
                                                    faults);
    for (size_t i = from; i < faults->n; i++)
        if (faults->items[i].file[0] == '\0')
            fault_place(&faults->items[i],
                        fault_at(tested->reduction->setup.path, tested->run->head.line, 0));
    return good;
}

void tested_free(struct tested *tested)
{
    efficiency_free(&tested->e);
    free(tested->points);
    if (tested->reduction != NULL)
        reduction_free(tested->reduction);
    free(tested->reduction);
    memset(tested, 0, sizeof *tested);
}
