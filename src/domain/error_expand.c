#include "domain/error_expand.h"

#include "domain/error_ageing.h"
#include "domain/error_rest.h"
#include "domain/error_slots.h"

#include <math.h>
#include <string.h>

#define BIT(slot) (1U << (slot))

/* Root of the sum of squares of the slots (bit 1 << slot for each) that move the target. */
static double error_of_slots(const struct instrument *instrument, unsigned which,
                             enum shift_target target)
{
    struct error_slot_known slots[SLOT_COUNT];
    double sum = 0.0;
    error_slots(instrument, slots);
    for (int i = 0; i < SLOT_COUNT; i++)
        if ((which & BIT(i)) != 0 && slots[i].given && slots[i].target == target)
            sum += slots[i].u * slots[i].u;
    return sqrt(sum);
}

double error_of_offset(const struct instrument *instruments, size_t n,
                       const struct instrument *instrument)
{
    const unsigned own = BIT(SLOT_CALIBRATION) | BIT(SLOT_OFFSET);
    if (!instrument->matched_to.at.given)
        return error_of_slots(instrument, own, SHIFT_OFFSET);
    const struct instrument *other = instrument_find(instruments, n, instrument->matched_to.text);
    double common = error_of_slots(other, own, SHIFT_OFFSET);
    return hypot(common, instrument->pair.u);
}

double error_of_resolution(const struct instrument *instrument)
{
    return error_of_slots(instrument, BIT(SLOT_RESOLUTION), SHIFT_OFFSET);
}

double error_of_gain(const struct instrument *instrument)
{
    return error_of_slots(instrument, BIT(SLOT_CALIBRATION), SHIFT_GAIN);
}

double error_of_zero(const struct instrument *instrument)
{
    return error_of_slots(instrument,
                          BIT(SLOT_OFFSET) | BIT(SLOT_SIGNAL) | BIT(SLOT_THERMAL) | BIT(SLOT_ZERO),
                          SHIFT_OFFSET);
}

double error_of_zero_most(const struct instrument *instrument)
{
    static const enum error_slot of_zero[] = {SLOT_OFFSET, SLOT_SIGNAL, SLOT_THERMAL, SLOT_ZERO};
    const struct checked *checked = &instrument->checked_zero;
    struct error_slot_known slots[SLOT_COUNT];
    double most = checked->given ? 2.0 * hypot(checked->u, checked->u_stays) : 0.0;
    error_slots(instrument, slots);
    for (size_t i = 0; i < sizeof of_zero / sizeof of_zero[0]; i++) {
        const struct error_slot_known *slot = &slots[of_zero[i]];
        if (slot->given && slot->target == SHIFT_OFFSET)
            most += (slot->rectangular ? sqrt(3.0) : 2.0) * slot->u;
    }
    return most;
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
    error_print(row->label, sizeof row->label, "calibration common to '%s' and '%s'",
                instrument->name, partner->name);
    error_print(row->cure, sizeof row->cure, "calibrate the pair against a better thermometer");
}

static bool add_slot(const struct expansion *expansion, const struct instrument *instrument,
                     enum error_slot slot, const struct error_slot_known *known)
{
    struct error_source row;
    start_row(&row, instrument, slot_word(slot));
    row.kind = error_slot_kind(slot);
    row.u = known->u;
    row.per_sample = known->per_sample;
    row.rectangular = known->rectangular;
    row.targets[0] = (struct error_target){known->target, instrument->channel, 1.0};
    error_slot_label(slot, instrument, row.label);
    error_print(row.cure, sizeof row.cure, "%s",
          known->cure != NULL ? known->cure : error_slot_cure(slot, instrument->channel));
    error_print(row.origin, sizeof row.origin, "%s", known->origin);
    const struct instrument *partner = partner_of(expansion, instrument);
    if (partner != NULL && error_slot_shared(slot) && known->target == SHIFT_OFFSET)
        share_with(&row, instrument, partner);
    if (slot == SLOT_AGEING)
        ageing_fill(instrument, AGEING_DAY_UNKNOWN, &row);
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
          "a run 'thermometers together', once cold and once warm");
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
    error_print(row.cure, sizeof row.cure,
                "put it into the fluid, or under more insulation with paste");
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
    error_print(row.label, sizeof row.label, "what the check of '%s' (%s) leaves%s",
                instrument->name, channel_row(instrument->channel)->label,
                zero ? ", new each day" : "");
    error_print(row.cure, sizeof row.cure, "%s",
          zero ? "a run 'zero check' nearer to the days of the test"
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
    struct error_slot_known slots[SLOT_COUNT];
    error_slots(instrument, slots);
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
