#include "domain/error_rows.h"

#include "domain/instrument_kind.h"

#include <math.h>
#include <stdarg.h>
#include <string.h>

static const char bucket_cure[] =
    "calibrate both thermometers together in one bucket and state 'matched to' and 'pair'";

/* What is known of one slot of an instrument. */
struct slot {
    bool given;
    enum shift_target target;
    double u;
    bool rectangular;
    bool per_sample;
    const char *cure;
    char origin[ERROR_LABEL_SIZE];
};

/* Cut where it does not fit; the parts are bounded by a line of the description. */
void error_print(char *out, size_t size, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    int n = vsnprintf(out, size, format, args);
    va_end(args);
    if (n < 0)
        out[0] = '\0';
    while (!text_is_utf8(out, strlen(out)))
        out[strlen(out) - 1] = '\0';
}

static bool metered(enum channel channel)
{
    return channel == CH_FLOW || channel == CH_MASS_FLOW;
}

/* Cheapest way to make an error smaller, where the kind does not know a better one. */
static const char *usual_cure(enum error_slot slot, enum channel channel)
{
    bool thermometer = channel_row(channel)->dimension == DIM_TEMPERATURE;
    switch (slot) {
    case SLOT_CALIBRATION:
    case SLOT_OFFSET:
        if (metered(channel))
            return "count litres per pulse with a bucket on a scale and a stopwatch";
        return thermometer ? bucket_cure
                           : "have it calibrated, or compare it with a better one side by side";
    case SLOT_DRIFT:
        if (!thermometer && !metered(channel))
            return "test on more days, or compare it with a better one each day";
        __attribute__((fallthrough));
    case SLOT_ZERO:
        if (channel == CH_AMBIENT)
            return "draw air over it with a small fan, shaded from sun and sky";
        if (thermometer)
            return "circulate at air temperature in the dark each day and compare the two";
        return metered(channel) ? "repeat the bucket and stopwatch each day"
                                : "cover it for five minutes each day and note its reading";
    case SLOT_RESOLUTION:
        return "use a display or converter with finer steps";
    case SLOT_READING:
        return "read more often and take the mean";
    case SLOT_COUNT:
        break;
    }
    return "";
}

static void take_kind(const struct instrument *instrument, struct slot slots[SLOT_COUNT])
{
    if (!instrument->kind.at.given)
        return;
    const struct instrument_kind *kind = &instrument_kinds[instrument->kind.index];
    for (size_t i = 0; i < KIND_FIGURES && kind->figures[i].value > 0.0; i++) {
        const struct kind_figure *figure = &kind->figures[i];
        struct slot *slot = &slots[figure->slot];
        slot->given = true;
        slot->target = figure->target;
        slot->u = figure_u(figure);
        slot->rectangular = figure->shape != SHAPE_STANDARD;
        if (figure->slot == SLOT_CALIBRATION || figure->slot == SLOT_OFFSET)
            slot->cure = kind->cure;
        error_print(slot->origin, sizeof slot->origin, "%s: %s", kind->name, figure->source);
    }
}

static void take_stated(struct slot *slot, const struct stated_error *error)
{
    if (!error->at.given)
        return;
    memset(slot, 0, sizeof *slot);
    slot->given = true;
    slot->target = error->relative ? SHIFT_GAIN : SHIFT_OFFSET;
    slot->u = error->u;
    slot->rectangular = error->limit;
    slot->per_sample = error->per == PER_SAMPLE;
    error_print(slot->origin, sizeof slot->origin, "stated: %s", error->text);
}

static void take_resolution(struct slot *slot, const struct stated_number *resolution)
{
    if (!resolution->at.given)
        return;
    memset(slot, 0, sizeof *slot);
    slot->given = true;
    slot->target = SHIFT_OFFSET;
    slot->u = resolution->value / sqrt(12.0);
    slot->rectangular = true;
    error_print(slot->origin, sizeof slot->origin, "stated: one step, / sqrt 12");
}

/* A thermometer's calibration is an offset, so a stated `offset` takes the place of the kind's. */
static void collect_slots(const struct instrument *instrument, struct slot slots[SLOT_COUNT])
{
    memset(slots, 0, SLOT_COUNT * sizeof *slots);
    take_kind(instrument, slots);
    bool thermometer = channel_row(instrument->channel)->dimension == DIM_TEMPERATURE;
    if (thermometer && instrument->offset.at.given)
        slots[SLOT_CALIBRATION].given = false;
    take_stated(&slots[SLOT_CALIBRATION], &instrument->calibration);
    take_stated(&slots[SLOT_OFFSET], &instrument->offset);
    take_stated(&slots[SLOT_ZERO], &instrument->zero);
    take_stated(&slots[SLOT_READING], &instrument->reading);
    /* A step of a total is no error of a flow: the windows' edges know it (window/finder.h). */
    if (!instrument_is_total(instrument))
        take_resolution(&slots[SLOT_RESOLUTION], &instrument->resolution);
    if (instrument->matched_to.at.given || instrument->checked_offset.given) {
        slots[SLOT_CALIBRATION].given = false;
        slots[SLOT_OFFSET].given = false;
    }
    if (instrument->checked_gain.given)
        slots[SLOT_CALIBRATION].given = false;
    if (instrument->checked_zero.given)
        slots[SLOT_OFFSET].given = slots[SLOT_ZERO].given = false;
}

/* Root of the sum of squares of two slots that move the target; SLOT_COUNT: no second one. */
static double error_of_slots(const struct instrument *instrument, enum error_slot first,
                             enum error_slot second, enum shift_target target)
{
    struct slot slots[SLOT_COUNT + 1];
    collect_slots(instrument, slots);
    slots[SLOT_COUNT].given = false;
    double u[2] = {0.0, 0.0};
    if (slots[first].given && slots[first].target == target)
        u[0] = slots[first].u;
    if (slots[second].given && slots[second].target == target)
        u[1] = slots[second].u;
    return hypot(u[0], u[1]);
}

double error_of_offset(const struct instrument *instruments, size_t n,
                       const struct instrument *instrument)
{
    if (!instrument->matched_to.at.given)
        return error_of_slots(instrument, SLOT_CALIBRATION, SLOT_OFFSET, SHIFT_OFFSET);
    const struct instrument *other = instrument_find(instruments, n, instrument->matched_to.text);
    double common = error_of_slots(other, SLOT_CALIBRATION, SLOT_OFFSET, SHIFT_OFFSET);
    return hypot(common, instrument->pair.u);
}

double error_of_resolution(const struct instrument *instrument)
{
    return error_of_slots(instrument, SLOT_RESOLUTION, SLOT_COUNT, SHIFT_OFFSET);
}

double error_of_gain(const struct instrument *instrument)
{
    return error_of_slots(instrument, SLOT_CALIBRATION, SLOT_COUNT, SHIFT_GAIN);
}

double error_of_zero(const struct instrument *instrument)
{
    return error_of_slots(instrument, SLOT_OFFSET, SLOT_ZERO, SHIFT_OFFSET);
}

static enum error_kind kind_of_slot(enum error_slot slot)
{
    if (slot == SLOT_ZERO || slot == SLOT_DRIFT)
        return ERROR_SESSION;
    return slot == SLOT_RESOLUTION || slot == SLOT_READING ? ERROR_READING : ERROR_CALIBRATION;
}

static void label_slot(struct error_source *row, enum error_slot slot,
                       const struct instrument *instrument)
{
    static const struct {
        const char *head;
        const char *tail;
    } words[SLOT_COUNT] = {
        [SLOT_CALIBRATION] = {"calibration of", ""},
        [SLOT_OFFSET] = {"constant offset of", ""},
        [SLOT_ZERO] = {"zero of", ", new each day"},
        [SLOT_DRIFT] = {"drift of", " from day to day"},
        [SLOT_RESOLUTION] = {"resolution of", ""},
        [SLOT_READING] = {"reading error of", ""},
    };
    error_print(row->label, sizeof row->label, "%s '%s' (%s)%s", words[slot].head, instrument->name,
          channel_row(instrument->channel)->label, words[slot].tail);
}

static void start_row(struct error_source *row, const struct instrument *instrument,
                      const char *id_tail)
{
    memset(row, 0, sizeof *row);
    row->dof = INFINITY;
    row->n_targets = 1;
    error_print(row->id, sizeof row->id, "%s.%s", instrument->name, id_tail);
    error_print(row->instrument_id, sizeof row->instrument_id, "%s", instrument->id.text);
}

/* The thermometer that is matched to this one; NULL if none is. */
static const struct instrument *partner_of(const struct expansion *expansion,
                                           const struct instrument *instrument)
{
    for (size_t i = 0; i < expansion->n; i++) {
        const struct instrument *other = &expansion->instruments[i];
        if (other->matched_to.at.given &&
            text_same_nocase(other->matched_to.text, instrument->name))
            return other;
    }
    return NULL;
}

static void share_with(struct error_source *row, const struct instrument *instrument,
                       const struct instrument *partner)
{
    row->n_targets = 2;
    row->targets[1] = row->targets[0];
    row->targets[1].channel = partner->channel;
    error_print(row->label, sizeof row->label, "calibration common to '%s' and '%s'", instrument->name,
          partner->name);
    error_print(row->cure, sizeof row->cure, "calibrate the pair against a better thermometer");
}

static bool add_slot(const struct expansion *expansion, const struct instrument *instrument,
                     enum error_slot slot, const struct slot *known)
{
    struct error_source row;
    start_row(&row, instrument, slot_word(slot));
    row.kind = kind_of_slot(slot);
    row.u = known->u;
    row.per_sample = known->per_sample;
    row.rectangular = known->rectangular;
    row.targets[0] = (struct error_target){known->target, instrument->channel, 1.0};
    label_slot(&row, slot, instrument);
    error_print(row.cure, sizeof row.cure, "%s",
          known->cure != NULL ? known->cure : usual_cure(slot, instrument->channel));
    error_print(row.origin, sizeof row.origin, "%s", known->origin);
    const struct instrument *partner = partner_of(expansion, instrument);
    if (partner != NULL && row.kind == ERROR_CALIBRATION && known->target == SHIFT_OFFSET)
        share_with(&row, instrument, partner);
    return registry_add(expansion->registry, &row, expansion->faults);
}

static bool add_pair(const struct expansion *expansion, const struct instrument *instrument)
{
    struct error_source row;
    start_row(&row, instrument, "pair");
    row.kind = ERROR_CALIBRATION;
    row.u = instrument->pair.u;
    row.rectangular = instrument->pair.limit;
    row.targets[0] = (struct error_target){SHIFT_OFFSET, instrument->channel, 1.0};
    error_print(row.label, sizeof row.label, "what is left between '%s' and '%s'", instrument->name,
          instrument->matched_to.text);
    error_print(row.cure, sizeof row.cure,
          "compare them again in one stirred bucket, at two temperatures");
    error_print(row.origin, sizeof row.origin, "stated: %s", instrument->pair.text);
    return registry_add(expansion->registry, &row, expansion->faults);
}

static bool add_mounting(const struct expansion *expansion, const struct instrument *instrument)
{
    struct error_source row;
    start_row(&row, instrument, "mounting");
    row.kind = ERROR_CALIBRATION;
    row.u = instrument->u_mounting;
    row.rectangular = instrument->mounting_error.limit;
    row.targets[0] = (struct error_target){SHIFT_MOUNTING, instrument->channel, 1.0};
    error_print(row.label, sizeof row.label, "mounting of '%s' (%s), strapped on", instrument->name,
          channel_row(instrument->channel)->label);
    error_print(row.cure, sizeof row.cure, "put it into the fluid, or under more insulation with paste");
    if (instrument->mounting_error.at.given)
        error_print(row.origin, sizeof row.origin, "stated: %s", instrument->mounting_error.text);
    else
        error_print(row.origin, sizeof row.origin, "default: 2 +- 1 %% of t - t_a, our figure");
    return registry_add(expansion->registry, &row, expansion->faults);
}

/* The scatter of the check's own readings. */
static bool add_check_scatter(const struct expansion *expansion,
                              const struct instrument *instrument, const struct checked *checked,
                              enum shift_target target)
{
    struct error_source row;
    start_row(&row, instrument, "check");
    row.kind = ERROR_CALIBRATION;
    row.u = checked->u;
    row.dof = checked->dof;
    row.targets[0] = (struct error_target){target, instrument->channel, 1.0};
    error_print(row.label, sizeof row.label, "scatter when '%s' was checked", instrument->name);
    error_print(row.cure, sizeof row.cure, "repeat the check, or let it run for longer");
    error_print(row.origin, sizeof row.origin, "%s", checked->by);
    return registry_add(expansion->registry, &row, expansion->faults);
}

static bool add_check_rest(const struct expansion *expansion, const struct instrument *instrument,
                           const struct checked *checked, enum shift_target target)
{
    struct error_source row;
    bool zero = checked == &instrument->checked_zero;
    start_row(&row, instrument, zero ? "zero left" : "left");
    row.kind = zero ? ERROR_SESSION : ERROR_CALIBRATION;
    row.u = checked->u_stays;
    row.targets[0] = (struct error_target){target, instrument->channel, 1.0};
    error_print(row.label, sizeof row.label, "what the check of '%s' (%s) leaves%s", instrument->name,
          channel_row(instrument->channel)->label, zero ? ", new each day" : "");
    error_print(row.cure, sizeof row.cure, "%s",
          zero ? "cover it for five minutes each day and note its reading"
          : target == SHIFT_GAIN ? "fill a larger bucket on a better scale, at the test's own flow"
                                 : "check it again near the test's temperatures");
    error_print(row.origin, sizeof row.origin, "%s: %s", checked->by, checked->stays);
    return registry_add(expansion->registry, &row, expansion->faults);
}

static bool expand_checked(const struct expansion *expansion, const struct instrument *instrument,
                           const struct checked *checked, enum shift_target target)
{
    if (!checked->given)
        return true;
    if (checked->u > 0.0 && !add_check_scatter(expansion, instrument, checked, target))
        return false;
    return !(checked->u_stays > 0.0) || add_check_rest(expansion, instrument, checked, target);
}

static bool is_checked(const struct instrument *instrument)
{
    return instrument->checked_offset.given || instrument->checked_gain.given ||
           instrument->checked_zero.given;
}

static void warn_unstated(const struct expansion *expansion, const struct instrument *instrument)
{
    struct place at = fault_at(expansion->file, instrument->head.line, instrument->head.column);
    struct fault *fault = fault_new(expansion->faults, FAULT_WARNING, at);
    fault_found(fault, "no error is stated for '%s': it counts as exact", instrument->name);
    fault_expected(fault, "'kind' or 'calibration'");
    fault_hint(fault, "without it the band round the curve is too narrow");
}

static bool expand_instrument(const struct expansion *expansion,
                              const struct instrument *instrument)
{
    struct slot slots[SLOT_COUNT];
    collect_slots(instrument, slots);
    bool any = is_checked(instrument);
    if (!expand_checked(expansion, instrument, &instrument->checked_offset, SHIFT_OFFSET) ||
        !expand_checked(expansion, instrument, &instrument->checked_gain, SHIFT_GAIN) ||
        !expand_checked(expansion, instrument, &instrument->checked_zero, SHIFT_OFFSET))
        return false;
    if (instrument->matched_to.at.given) {
        any = true;
        if (!add_pair(expansion, instrument))
            return false;
    }
    for (int i = 0; i < SLOT_COUNT; i++) {
        if (!slots[i].given)
            continue;
        any = true;
        if (!add_slot(expansion, instrument, (enum error_slot)i, &slots[i]))
            return false;
    }
    if (!any)
        warn_unstated(expansion, instrument);
    return !(instrument->mounting_share > 0.0) || add_mounting(expansion, instrument);
}

bool errors_expand(const struct instrument *instruments, size_t n, const struct pipes *pipes,
                   const struct collector *collector, const struct fluid_choice *choice,
                   const struct fluid *fluid, const char *file, struct error_registry *registry,
                   struct faults *faults)
{
    struct expansion expansion = {instruments, n, registry, file, faults};
    for (size_t i = 0; i < n; i++)
        if (instruments[i].measures.at.given && !expand_instrument(&expansion, &instruments[i]))
            return false;
    for (int end = 0; end < PIPES; end++)
        if (!expand_pipe(&expansion, &pipes->of[end]))
            return false;
    return expand_area(&expansion, collector) && expand_capacity(&expansion, collector) &&
           expand_fluid(&expansion, choice, fluid);
}
