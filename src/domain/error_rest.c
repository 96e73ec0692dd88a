#include "domain/error_rest.h"

#include <math.h>

static bool add_plain(const struct expansion *expansion, enum shift_target what, double u,
                      bool limit, const char *id, const char *label, const char *cure,
                      const char *origin)
{
    struct error_source row = {.kind = ERROR_CALIBRATION,
                               .u = u,
                               .rectangular = limit,
                               .dof = INFINITY,
                               .n_targets = 1};
    row.targets[0] = (struct error_target){what, CH_IRRADIANCE, 1.0};
    error_print(row.id, sizeof row.id, "%s", id);
    error_print(row.label, sizeof row.label, "%s", label);
    error_print(row.cure, sizeof row.cure, "%s", cure);
    error_print(row.origin, sizeof row.origin, "%s", origin);
    return registry_add(expansion->registry, &row, expansion->faults);
}

bool expand_pipe(const struct expansion *expansion, const struct pipe *pipe)
{
    if (!(pipe->loss_W_K > 0.0))
        return true;
    struct error_source row = {
        .kind = ERROR_CALIBRATION, .u = pipe->u_loss_W_K, .dof = INFINITY, .n_targets = 1};
    row.rectangular = pipe->error.limit;
    row.targets[0] = (struct error_target){SHIFT_PIPE, pipe->channel, 1.0};
    const char *word = channel_row(pipe->channel)->word;
    error_print(row.id, sizeof row.id, "pipe %s.loss", word);
    error_print(row.label, sizeof row.label, "heat loss between collector and %s thermometer",
                word);
    error_print(row.cure, sizeof row.cure,
                "put the thermometer at the collector's port, or insulate more");
    if (pipe->error.at.given)
        error_print(row.origin, sizeof row.origin, "stated: %s", pipe->error.text);
    else
        error_print(row.origin, sizeof row.origin, "default: half of the correction, our figure");
    return registry_add(expansion->registry, &row, expansion->faults);
}

bool expand_area(const struct expansion *expansion, const struct collector *collector)
{
    char label[ERROR_LABEL_SIZE];
    char origin[ERROR_LABEL_SIZE];
    error_print(label, sizeof label, "%s area of the collector", area_word(collector->reference));
    if (collector->u_area_by_default)
        error_print(origin, sizeof origin, "default: 0.3 %% standard (common practice, no source)");
    else
        error_print(origin, sizeof origin, "stated: %s", collector->area_error.text);
    return add_plain(expansion, SHIFT_AREA, collector->u_area, collector->area_error.limit,
                     "area", label, "measure each side twice with a steel rule or tape", origin);
}

bool expand_capacity(const struct expansion *expansion, const struct collector *collector)
{
    if (!(collector->capacity_J_m2K > 0.0))
        return true;
    return add_plain(expansion, SHIFT_CAPACITY, collector->u_capacity_J_m2K,
                     collector->capacity_error.limit, "capacity", "heat capacity of the collector",
                     "hold the inlet steady, or weigh the collector's parts and its water",
                     collector->capacity_origin);
}

/* Where a fluid's figures come from when they are not stated, and what would make them smaller. */
static const struct {
    const char *cp;
    const char *density;
    const char *cure;
} fluid_words[] = {
    [FLUID_WATER] = {"what two IAPWS formulations differ by, a limit",
                     "our figure for what tap water holds", ""},
    [FLUID_GLYCOL] = {"our figure, which holds what published sources differ by",
                      "our figure, which holds what published sources differ by",
                      "use the maker's own table of this product, and state its errors"},
    [FLUID_TABLE] = {"our figure for a table", "our figure for a table",
                     "measure the mixing ratio, and use the maker's own table"},
};

static void fluid_origin(const struct stated_error *stated, const char *by_default,
                         char out[ERROR_LABEL_SIZE])
{
    if (stated->at.given)
        error_print(out, ERROR_LABEL_SIZE, "stated: %s", stated->text);
    else
        error_print(out, ERROR_LABEL_SIZE, "default: %s", by_default);
}

/* Density and specific heat move together where the mixture is not what was meant. */
static bool expand_fraction(const struct expansion *expansion, const struct fluid_choice *choice,
                            const struct fluid *fluid)
{
    char label[ERROR_LABEL_SIZE];
    char origin[ERROR_LABEL_SIZE];
    if (fluid->kind != FLUID_GLYCOL)
        return true;
    error_print(label, sizeof label, "mixing ratio of %s", fluid->name);
    fluid_origin(&choice->fraction_error, "2 points, standard (our figure)", origin);
    return add_plain(expansion, SHIFT_FRACTION, fluid->u_fraction,
                     choice->fraction_error.limit, "fluid.fraction", label,
                     "measure the ratio of a sample from the loop with a refractometer", origin);
}

bool expand_fluid(const struct expansion *expansion, const struct fluid_choice *choice,
                  const struct fluid *fluid)
{
    char label[ERROR_LABEL_SIZE];
    char origin[ERROR_LABEL_SIZE];
    const char *cure = fluid_words[fluid->kind].cure;
    error_print(label, sizeof label, "specific heat of %s", fluid->name);
    fluid_origin(&choice->cp_error, fluid_words[fluid->kind].cp, origin);
    if (!add_plain(expansion, SHIFT_CP, fluid->u_cp, choice->cp_error.limit, "fluid.cp", label,
                   cure, origin))
        return false;
    error_print(label, sizeof label, "density of %s", fluid->name);
    fluid_origin(&choice->density_error, fluid_words[fluid->kind].density, origin);
    bool weighed =
        instrument_of_channel(expansion->instruments, expansion->n, CH_MASS_FLOW) != NULL;
    return (weighed ||
            add_plain(expansion, SHIFT_DENSITY, fluid->u_density, choice->density_error.limit,
                      "fluid.density", label, cure, origin)) &&
           expand_fraction(expansion, choice, fluid);
}
