#include "domain/collector.h"

#include "domain/storage.h"
#include "domain/surroundings.h"

/* Common practice, no source: a tape measure read to 3 mm on each side of 2 m2 and the choice of
 * the edge. */
#define U_AREA_BY_DEFAULT 0.003

static const char *const area_words[AREA_COUNT] = {"gross", "aperture", "absorber"};

#define AREA_LIMITS                                                                                \
    {                                                                                              \
        0.0, 1000.0, true                                                                          \
    }

static const struct schema_row rows[] = {
    {.key = "name",
     .kind = VALUE_TEXT,
     .offset = offsetof(struct collector, name),
     .help = "what the report calls the collector",
     .example = "Plate A, stove paint",
     .by_default = "the name of the description's file"},
    {.key = "gross area",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_AREA,
     .limits = AREA_LIMITS,
     .offset = offsetof(struct collector, area[AREA_GROSS]),
     .help = "largest outline of the collector, frame included",
     .example = "2.05 m2"},
    {.key = "aperture area",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_AREA,
     .limits = AREA_LIMITS,
     .offset = offsetof(struct collector, area[AREA_APERTURE]),
     .help = "opening through which the sun comes in",
     .example = "1.92 m2"},
    {.key = "absorber area",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_AREA,
     .limits = AREA_LIMITS,
     .offset = offsetof(struct collector, area[AREA_ABSORBER]),
     .help = "surface that turns sunshine into heat",
     .example = "1.88 m2"},
    {.key = "reference",
     .kind = VALUE_CHOICE,
     .choices = area_words,
     .n_choices = AREA_COUNT,
     .offset = offsetof(struct collector, wanted),
     .help = "area to which the efficiency refers",
     .example = "gross",
     .by_default = "gross, or the largest area given"},
    {.key = "area error",
     .kind = VALUE_ERROR,
     .dimension = DIM_AREA,
     .offset = offsetof(struct collector, area_error),
     .help = "how well the reference area is known",
     .example = "0.5 % k=2",
     .by_default = "0.3 % standard (common practice, no source)"},
    {.key = "heat capacity",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_HEAT_CAPACITY,
     .limits = {0.0, 1e6, true},
     .offset = offsetof(struct collector, capacity),
     .help = "of the reference area, with the fluid inside (without it where a transit time is "
             "stated): corrects windows that drift",
     .example = "8 kJ/(m2 K)"},
    {.key = "capacity error",
     .kind = VALUE_ERROR,
     .dimension = DIM_HEAT_CAPACITY,
     .offset = offsetof(struct collector, capacity_error),
     .help = "how well the heat capacity is known",
     .example = "2 kJ/(m2 K) standard",
     .by_default = "20 % standard of a stated one, the estimate's own of a construction"},
    {.key = "construction",
     .kind = VALUE_CHOICE,
     .choices = storage_words,
     .n_choices = STORAGE_ROWS,
     .offset = offsetof(struct collector, construction),
     .help = "documented estimate of the heat capacity for who has not measured it",
     .example = "homemade flat plate",
     .by_default = "homemade flat plate with rules of our own, none with a standard's"},
    {.key = "surface",
     .kind = VALUE_CHOICE,
     .choices = surface_words,
     .n_choices = SURFACES,
     .offset = offsetof(struct collector, surface),
     .help = "of the absorber: what an unknown wind or sky does to the result",
     .example = "selective",
     .by_default = "black: the wider uncertainty"},
    {.key = "emittance",
     .kind = VALUE_NUMBER,
     .limits = {0.0, 1.0, false},
     .offset = offsetof(struct collector, emittance),
     .help = "the same as a number, where it is known",
     .example = "0.12"},
};

const struct schema collector_schema = {"collector", false, "The collector under test.", rows,
                                        LENGTH(rows)};

const char *area_word(enum area_reference area)
{
    return area_words[area];
}

static bool refuse_no_area(struct place section, struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_INPUT, section);
    fault_found(fault, "the collector has no area");
    fault_expected(fault, "'gross area', 'aperture area' or 'absorber area'");
    fault_hint(fault, "measure the outline of the collector and add 'gross area = 2.05 m2'");
    return false;
}

static struct place place_of(const char *file, const struct stated *at)
{
    return fault_at(file, at->line, at->column);
}

static bool check_areas(const struct collector *collector, const char *file, struct faults *faults)
{
    const struct stated_number *gross = &collector->area[AREA_GROSS];
    bool good = true;
    for (int i = AREA_APERTURE; i < AREA_COUNT; i++) {
        const struct stated_number *inner = &collector->area[i];
        if (!gross->at.given || !inner->at.given || inner->value <= gross->value)
            continue;
        struct fault *fault = fault_new(faults, FAULT_INPUT, place_of(file, &inner->at));
        fault_found(fault, "the %s area, %.4g m2, is larger than the gross area", area_words[i],
                    inner->value);
        fault_expected(fault, "at most %.4g m2 (line %ld)", gross->value, gross->at.line);
        good = false;
    }
    return good;
}

static bool check_surface(const struct collector *collector, const char *file,
                          struct faults *faults)
{
    if (!collector->surface.at.given || !collector->emittance.at.given)
        return true;
    struct fault *fault =
        fault_new(faults, FAULT_INPUT, place_of(file, &collector->emittance.at));
    fault_found(fault, "both 'surface' (line %ld) and 'emittance' are given",
                collector->surface.at.line);
    fault_expected(fault, "one of them");
    return false;
}

/* The largest area given; AREA_COUNT if none is. */
static enum area_reference largest(const struct collector *collector)
{
    enum area_reference best = AREA_COUNT;
    for (int i = 0; i < AREA_COUNT; i++)
        if (collector->area[i].at.given &&
            (best == AREA_COUNT || collector->area[i].value > collector->area[best].value))
            best = (enum area_reference)i;
    return best;
}

static bool choose(struct collector *collector, const char *file, struct place section,
                   struct faults *faults)
{
    enum area_reference best = largest(collector);
    if (best == AREA_COUNT)
        return refuse_no_area(section, faults);
    enum area_reference wanted = AREA_GROSS;
    if (collector->wanted.at.given)
        wanted = (enum area_reference)collector->wanted.index;
    else if (!collector->area[AREA_GROSS].at.given)
        wanted = best;
    collector->fallback = wanted != AREA_GROSS && !collector->wanted.at.given;
    if (!collector->area[wanted].at.given) {
        struct fault *fault = fault_new(faults, FAULT_INPUT, place_of(file, &collector->wanted.at));
        fault_found(fault, "the reference is the %s area, which is not given", area_words[wanted]);
        fault_hint(fault, "add '%s area', or write 'reference = %s'", area_words[wanted],
                   area_words[best]);
        return false;
    }
    collector->reference = wanted;
    collector->area_m2 = collector->area[wanted].value;
    return true;
}

bool collector_settle(struct collector *collector, const char *file, struct place section,
                      struct faults *faults)
{
    bool good = check_areas(collector, file, faults);
    good = check_surface(collector, file, faults) && good;
    good = choose(collector, file, section, faults) && good;
    if (!good)
        return false;
    const struct stated_error *error = &collector->area_error;
    collector->u_area_by_default = !error->at.given;
    collector->u_area = U_AREA_BY_DEFAULT;
    if (error->at.given)
        collector->u_area = error->relative ? error->u : error->u / collector->area_m2;
    return true;
}
