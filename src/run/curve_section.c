#include "run/curve_section.h"

#include <stdlib.h>
#include <string.h>

/* Water at 40 degC, rounded; a test holds it against that of domain/fluid.h. */
#define CP_BY_DEFAULT 4180.0
/* Share of diffuse light to which coefficients of the beam are mostly brought: from memory. */
#define SHARE_BY_DEFAULT 0.15

static const char *const areas[AREA_COUNT] = {"gross", "aperture", "absorber"};
static const char *const temperatures[] = {"mean", "inlet"};
static const char *const sunshines[] = {"total", "beam"};

#define AREA_LIMITS {0.0, 1000.0, true}

static const struct schema_row rows[] = {
    {.key = "source",
     .kind = VALUE_TEXT,
     .required = true,
     .offset = offsetof(struct curve_section, source),
     .help = "where the curve stands: who, what, when, which table",
     .example = "A. Author, a journal 12 (2019), table 3"},
    {.key = "eta0",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_NONE,
     .limits = {0.0, 1.0, true},
     .required = true,
     .offset = offsetof(struct curve_section, eta0),
     .help = "efficiency with the fluid as warm as the air",
     .example = "0.781"},
    {.key = "eta0 error",
     .kind = VALUE_ERROR,
     .dimension = DIM_NONE,
     .offset = offsetof(struct curve_section, eta0_error),
     .help = "its error as stated there, as a plain number",
     .example = "0.012 k=2",
     .by_default = "unknown: bands are then lower bounds"},
    {.key = "a1",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_HEAT_LOSS,
     .limits = {0.0, 100.0, false},
     .required = true,
     .offset = offsetof(struct curve_section, a1),
     .help = "heat loss, of the line or the linear part",
     .example = "3.62 W/(m2 K)"},
    {.key = "a1 error",
     .kind = VALUE_ERROR,
     .dimension = DIM_HEAT_LOSS,
     .offset = offsetof(struct curve_section, a1_error),
     .help = "its error as stated there",
     .example = "0.24 W/(m2 K) k=2",
     .by_default = "unknown: bands are then lower bounds"},
    {.key = "a2",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_LOSS_RISE,
     .limits = {0.0, 1.0, false},
     .offset = offsetof(struct curve_section, a2),
     .help = "rise of the heat loss with the temperature",
     .example = "0.0137 W/(m2 K2)",
     .by_default = "the curve is a straight line"},
    {.key = "a2 error",
     .kind = VALUE_ERROR,
     .dimension = DIM_LOSS_RISE,
     .offset = offsetof(struct curve_section, a2_error),
     .help = "its error as stated there",
     .example = "0.003 W/(m2 K2) k=2",
     .by_default = "unknown: bands are then lower bounds"},
    {.key = "reference",
     .kind = VALUE_CHOICE,
     .choices = areas,
     .n_choices = AREA_COUNT,
     .required = true,
     .offset = offsetof(struct curve_section, area_choice),
     .help = "area to which the coefficients refer",
     .example = "aperture"},
    {.key = "temperature",
     .kind = VALUE_CHOICE,
     .choices = temperatures,
     .n_choices = LENGTH(temperatures),
     .required = true,
     .offset = offsetof(struct curve_section, temperature_choice),
     .help = "to which they refer: mean of inlet and outlet, or inlet",
     .example = "mean"},
    {.key = "gross area",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_AREA,
     .limits = AREA_LIMITS,
     .offset = offsetof(struct curve_section, area[AREA_GROSS]),
     .help = "of the collector; needed to bring it to another area",
     .example = "2.15 m2"},
    {.key = "aperture area",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_AREA,
     .limits = AREA_LIMITS,
     .offset = offsetof(struct curve_section, area[AREA_APERTURE]),
     .help = "of the collector",
     .example = "1.99 m2"},
    {.key = "absorber area",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_AREA,
     .limits = AREA_LIMITS,
     .offset = offsetof(struct curve_section, area[AREA_ABSORBER]),
     .help = "of the collector",
     .example = "1.94 m2"},
    {.key = "mass flow",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_MASS_FLOW,
     .limits = {0.0, 100.0, true},
     .offset = offsetof(struct curve_section, mass_kg_s),
     .help = "through the whole collector; needed to bring it from inlet to mean or back",
     .example = "0.041 kg/s"},
    {.key = "specific heat",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_SPECIFIC_HEAT,
     .limits = {500.0, 6000.0, false},
     .offset = offsetof(struct curve_section, cp_J_kgK),
     .help = "of its fluid",
     .example = "3.75 kJ/(kg K)",
     .by_default = "4.18 kJ/(kg K), water at 40 degC"},
    {.key = "fluid",
     .kind = VALUE_TEXT,
     .offset = offsetof(struct curve_section, fluid),
     .help = "which it was; printed, nothing is computed from the name",
     .example = "water"},
    {.key = "range",
     .kind = VALUE_RANGE,
     .dimension = DIM_INSULANCE,
     .offset = offsetof(struct curve_section, range),
     .help = "of the reduced temperature that it was tested over",
     .example = "0 to 0.075 m2 K/W",
     .by_default = "unknown: that of the others"},
    {.key = "sunshine",
     .kind = VALUE_CHOICE,
     .choices = sunshines,
     .n_choices = LENGTH(sunshines),
     .offset = offsetof(struct curve_section, sunshine_choice),
     .help = "what eta0 is of: all of it, or the beam alone (tests over changing days)",
     .example = "total",
     .by_default = "total"},
    {.key = "diffuse modifier",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_NONE,
     .limits = {0.0, 2.0, false},
     .offset = offsetof(struct curve_section, diffuse_modifier),
     .help = "where eta0 is of the beam: how much of it the diffuse light gives",
     .example = "0.94"},
    {.key = "diffuse modifier error",
     .kind = VALUE_ERROR,
     .dimension = DIM_NONE,
     .offset = offsetof(struct curve_section, diffuse_modifier_error),
     .help = "its error as stated there, as a plain number",
     .example = "0.04 k=2",
     .by_default = "unknown: bands are then lower bounds"},
    {.key = "diffuse share",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_NONE,
     .limits = {0.0, 1.0, false},
     .offset = offsetof(struct curve_section, diffuse_share),
     .help = "where eta0 is of the beam: to which share of diffuse light it is brought",
     .example = "15 %",
     .by_default = "15 % (from memory)"},
};

const struct schema curve_schema = {
    "curve", true,
    "A curve from a publication, for `compare`; it may be all that a description holds.", rows,
    LENGTH(rows)};

static struct fault *fault_on(const struct curve_section *curve, const struct stated *at,
                              struct faults *faults)
{
    return fault_new(faults, FAULT_INPUT, fault_at(curve->head.file, at->line, at->column));
}

/* "1 %" of 0.78 is 0.0078 or 0.01, and publications mean either. */
static bool refuse_percent(const struct curve_section *curve, const struct stated_error *error,
                           const char *of, struct faults *faults)
{
    if (!error->at.given || strchr(error->text, '%') == NULL)
        return true;
    struct fault *fault = fault_on(curve, &error->at, faults);
    fault_found(fault, "'%s' can be a share of %s or points of it", error->text, of);
    fault_expected(fault, "a plain number: '0.012 k=2'");
    return false;
}

static bool refuse_error_alone(const struct curve_section *curve, const struct stated *error,
                               const struct stated *value, const char *of, struct faults *faults)
{
    if (!error->given || value->given)
        return true;
    struct fault *fault = fault_on(curve, error, faults);
    fault_found(fault, "there is an error of '%s', but no '%s'", of, of);
    fault_expected(fault, "both, or none of them");
    return false;
}

static bool settle_sunshine(struct curve_section *curve, struct faults *faults)
{
    bool beam = curve->sunshine == SUNSHINE_BEAM;
    const struct stated *first = curve->diffuse_modifier.at.given ? &curve->diffuse_modifier.at
                                                                  : &curve->diffuse_share.at;
    if (beam && !curve->diffuse_modifier.at.given) {
        struct fault *fault = fault_on(curve, &curve->sunshine_choice.at, faults);
        fault_found(fault, "eta0 is of the beam, and what diffuse light gives is not stated");
        fault_expected(fault, "'diffuse modifier = 0.94', as the publication has it");
        return false;
    }
    if (beam || !first->given)
        return true;
    struct fault *fault = fault_on(curve, first, faults);
    fault_found(fault, "eta0 is of the whole sunshine: diffuse light is in it already");
    fault_hint(fault, "take this line out, or write 'sunshine = beam' if eta0 is of the beam");
    return false;
}

static bool settle_areas(const struct curve_section *curve, struct faults *faults)
{
    const struct stated_number *gross = &curve->area[AREA_GROSS];
    bool good = true;
    for (int i = AREA_APERTURE; i < AREA_COUNT; i++) {
        const struct stated_number *inner = &curve->area[i];
        if (!gross->at.given || !inner->at.given || inner->value <= gross->value)
            continue;
        struct fault *fault = fault_on(curve, &inner->at, faults);
        fault_found(fault, "the %s area, %.4g m2, is larger than the gross area", areas[i],
                    inner->value);
        fault_expected(fault, "at most %.4g m2 (line %ld)", gross->value, gross->at.line);
        good = false;
    }
    return good;
}

static bool settle(struct curve_section *curve, struct faults *faults)
{
    curve->reference = (enum area_reference)curve->area_choice.index;
    curve->temperature = (enum curve_temperature)curve->temperature_choice.index;
    curve->sunshine = (enum curve_sunshine)curve->sunshine_choice.index;
    curve->heat_J_kgK = curve->cp_J_kgK.at.given ? curve->cp_J_kgK.value : CP_BY_DEFAULT;
    curve->share = curve->diffuse_share.at.given ? curve->diffuse_share.value : SHARE_BY_DEFAULT;
    bool good = refuse_percent(curve, &curve->eta0_error, "eta0", faults);
    good = refuse_percent(curve, &curve->diffuse_modifier_error, "it", faults) && good;
    good = refuse_error_alone(curve, &curve->a2_error.at, &curve->a2.at, "a2", faults) && good;
    good = refuse_error_alone(curve, &curve->diffuse_modifier_error.at,
                              &curve->diffuse_modifier.at, "diffuse modifier", faults) &&
           good;
    good = settle_sunshine(curve, faults) && good;
    return settle_areas(curve, faults) && good;
}

static bool read_one(struct curve_section *curve, const struct description *description,
                     const struct section *section, const char *file, struct faults *faults)
{
    strcpy(curve->name, section->name);
    curve->head = fault_at(file, section->line, section->column);
    bool good = schema_read(&curve_schema, description, section, curve, faults);
    return settle(curve, faults) && good;
}

bool curves_read(struct curve_sections *curves, const struct description *description,
                 const char *file, struct faults *faults)
{
    curves->items = calloc(description->n_sections + 1, sizeof *curves->items);
    if (curves->items == NULL)
        return fault_memory(faults);
    bool good = true;
    for (size_t i = 0; i < description->n_sections; i++) {
        const struct section *section = &description->sections[i];
        if (text_same(section->kind, curve_schema.kind))
            good = read_one(&curves->items[curves->n++], description, section, file, faults) &&
                   good;
    }
    return good;
}

void curves_free(struct curve_sections *curves)
{
    free(curves->items);
    curves->items = NULL;
    curves->n = 0;
}
