#include "domain/error_slots.h"

#include <math.h>
#include <string.h>

static const struct {
    enum error_kind kind;
    const char *head, *tail; /* of the label */
} rows[SLOT_COUNT] = {
    [SLOT_CALIBRATION] = {ERROR_CALIBRATION, "calibration of", ""},
    [SLOT_AGEING] = {ERROR_CALIBRATION, "drift of", ""}, /* and since when: error_ageing.c */
    [SLOT_LINEARITY] = {ERROR_CALIBRATION, "non-linearity of", ""},
    [SLOT_DIRECTION] = {ERROR_CALIBRATION, "directional response of", ""},
    [SLOT_SPECTRUM] = {ERROR_CALIBRATION, "spectral error of", ""},
    [SLOT_TEMPERATURE] = {ERROR_CALIBRATION, "temperature response of", ""},
    [SLOT_TILT] = {ERROR_CALIBRATION, "tilt response of", ""},
    [SLOT_OFFSET] = {ERROR_CALIBRATION, "constant offset of", ""},
    [SLOT_SIGNAL] = {ERROR_CALIBRATION, "signal processing of", ""},
    [SLOT_THERMAL] = {ERROR_CALIBRATION, "zero of", " under a clear sky"},
    [SLOT_ZERO] = {ERROR_SESSION, "zero of", ", new each day"},
    [SLOT_DRIFT] = {ERROR_SESSION, "drift of", " from day to day"},
    [SLOT_RESOLUTION] = {ERROR_READING, "resolution of", ""},
    [SLOT_READING] = {ERROR_READING, "reading error of", ""},
};

enum error_kind error_slot_kind(enum error_slot slot)
{
    return rows[slot].kind;
}

bool error_slot_shared(enum error_slot slot)
{
    return slot == SLOT_CALIBRATION || slot == SLOT_OFFSET;
}

void error_slot_label(enum error_slot slot, const struct instrument *instrument,
                      char out[ERROR_LABEL_SIZE])
{
    error_print(out, ERROR_LABEL_SIZE, "%s '%s' (%s)%s", rows[slot].head, instrument->name,
                channel_row(instrument->channel)->label, rows[slot].tail);
}

static bool is_thermometer(enum channel channel)
{
    return channel_row(channel)->dimension == DIM_TEMPERATURE;
}

#define SLOT(slot) (1U << (slot))
#define OF(channel) (1U << (channel))
#define ANY (~0U)
#define METERS (OF(CH_FLOW) | OF(CH_MASS_FLOW))
#define WATER (OF(CH_INLET) | OF(CH_OUTLET))
#define SUN OF(CH_IRRADIANCE)
#define NEW_EACH_DAY (SLOT(SLOT_ZERO) | SLOT(SLOT_DRIFT))
#define BUCKET "a run 'bucket and stopwatch' at the test's flow"
#define TOGETHER "a run 'thermometers together': all of them in one stirred bucket"
#define SHADED "draw air over it with a small fan, shaded from sun and sky"
#define NIGHT "a run 'zero check' in the dark"

/* The cheapest cure of an error: the first row that fits slot and channel. */
static const struct {
    unsigned slots, channels;
    const char *cure;
} cures[] = {
    {SLOT(SLOT_LINEARITY), ANY, "have it calibrated at the irradiance of the test"},
    {SLOT(SLOT_DIRECTION), ANY, "test with the sun near the normal, its angle known"},
    {SLOT(SLOT_SPECTRUM), ANY, "have it calibrated outdoors under a clear sky"},
    {SLOT(SLOT_TEMPERATURE), ANY, "a better class, or correct it by its own certificate"},
    {SLOT(SLOT_TILT), ANY, "have it calibrated at the collector's tilt"},
    {SLOT(SLOT_RESOLUTION), ANY, "use a display or converter with finer steps"},
    {SLOT(SLOT_READING), ANY, "read more often and take the mean"},

    {SLOT(SLOT_CALIBRATION) | SLOT(SLOT_AGEING), METERS, BUCKET},
    {SLOT(SLOT_CALIBRATION) | SLOT(SLOT_AGEING) | SLOT(SLOT_OFFSET), WATER, TOGETHER},
    /* Not every thermometer of the air may be hung into water. */
    {SLOT(SLOT_CALIBRATION) | SLOT(SLOT_AGEING), OF(CH_AMBIENT),
     "a run 'thermometers together' if it is waterproof, else a better one beside it in the shade"},
    {SLOT(SLOT_CALIBRATION), OF(CH_METERED),
     "measure the flow beside it, with a run 'bucket and stopwatch'"},
    {SLOT(SLOT_AGEING), ANY, "have it calibrated before the test, and state 'calibrated'"},
    {SLOT(SLOT_CALIBRATION), ANY,
     "have it calibrated, or compare it with a better one side by side"},

    {SLOT(SLOT_OFFSET), METERS, "stop the pump and note what it reads"},
    {NEW_EACH_DAY, METERS, "repeat the bucket and stopwatch each day"},
    {NEW_EACH_DAY, WATER, "circulate at air temperature in the dark each day and compare the two"},
    {SLOT(SLOT_OFFSET) | SLOT(SLOT_SIGNAL) | SLOT(SLOT_THERMAL) | NEW_EACH_DAY, OF(CH_AMBIENT),
     SHADED},
    {SLOT(SLOT_THERMAL), SUN,
     "a fan round its dome, or a run 'zero check' at night under an open sky"},
    {SLOT(SLOT_OFFSET) | SLOT(SLOT_SIGNAL) | SLOT(SLOT_ZERO), SUN, NIGHT},
    {SLOT(SLOT_DRIFT), ANY, "test on more days, or compare it with a better one each day"},
    {SLOT(SLOT_OFFSET), ANY, "compare it with a better one side by side"},
    {SLOT(SLOT_ZERO) | SLOT(SLOT_SIGNAL) | SLOT(SLOT_THERMAL),
     OF(CH_DIFFUSE) | OF(CH_GLOBAL) | OF(CH_LEVEL_DIFFUSE),
     "cover it for five minutes each day and note its reading"},
    {ANY, ANY, "compare it with a better one each day"},
};

const char *error_slot_cure(enum error_slot slot, enum channel channel)
{
    size_t i = 0;
    while (!(cures[i].slots & SLOT(slot)) || !(cures[i].channels & OF(channel)))
        i++;
    return cures[i].cure;
}

static bool applies(enum error_slot slot, enum channel channel)
{
    if (slot == SLOT_DIRECTION)
        return channel == CH_IRRADIANCE;
    return slot != SLOT_TILT || (channel != CH_GLOBAL && channel != CH_LEVEL_DIFFUSE);
}

static void take_kind(const struct instrument *instrument,
                      struct error_slot_known slots[SLOT_COUNT])
{
    if (!instrument->kind.at.given)
        return;
    const struct instrument_kind *kind = &instrument_kinds[instrument->kind.index];
    for (size_t i = 0; i < KIND_FIGURES && kind->figures[i].value > 0.0; i++) {
        const struct kind_figure *figure = &kind->figures[i];
        struct error_slot_known *slot = &slots[figure->slot];
        if (!applies(figure->slot, instrument->channel))
            continue;
        slot->given = true;
        slot->target = figure->target;
        slot->u = figure_u(figure);
        slot->rectangular = figure->shape != SHAPE_STANDARD;
        if (figure->slot == SLOT_CALIBRATION || figure->slot == SLOT_OFFSET)
            slot->cure = kind->cure; /* NULL: what is usual for the channel */
        error_print(slot->origin, sizeof slot->origin, "%s: %s", kind->name, figure->source);
    }
}

static void take_stated(struct error_slot_known *slot, const struct stated_error *error)
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

static void take_resolution(struct error_slot_known *slot, const struct stated_number *resolution)
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

/* What a stated error replaces beside its own slot. */
static void make_room(const struct instrument *instrument,
                      struct error_slot_known slots[SLOT_COUNT])
{
    if (instrument->offset.at.given && is_thermometer(instrument->channel))
        slots[SLOT_CALIBRATION].given = false;
    if (instrument->offset.at.given)
        slots[SLOT_SIGNAL].given = false;
    if (instrument->zero.at.given)
        slots[SLOT_THERMAL].given = false;
}

/* What a check measured is not as stated any more. */
static void take_checks(const struct instrument *instrument,
                        struct error_slot_known slots[SLOT_COUNT])
{
    if (instrument->matched_to.at.given || instrument->checked_offset.given)
        slots[SLOT_CALIBRATION].given = slots[SLOT_OFFSET].given = false;
    if (instrument->checked_gain.given)
        slots[SLOT_CALIBRATION].given = false;
    if (instrument->checked_offset.given || instrument->checked_gain.given)
        slots[SLOT_AGEING].given = false;
    if (instrument->checked_zero.given)
        slots[SLOT_OFFSET].given = slots[SLOT_ZERO].given = slots[SLOT_SIGNAL].given =
            slots[SLOT_THERMAL].given = false;
}

void error_slots(const struct instrument *instrument, struct error_slot_known slots[SLOT_COUNT])
{
    memset(slots, 0, SLOT_COUNT * sizeof *slots);
    take_kind(instrument, slots);
    make_room(instrument, slots);
    take_stated(&slots[SLOT_CALIBRATION], &instrument->calibration);
    take_stated(&slots[SLOT_AGEING], &instrument->ageing);
    take_stated(&slots[SLOT_OFFSET], &instrument->offset);
    take_stated(&slots[SLOT_ZERO], &instrument->zero);
    take_stated(&slots[SLOT_READING], &instrument->reading);
    /* A step of a total is no error of a flow: the windows' edges know it (window/finder.h). */
    if (!instrument_is_total(instrument))
        take_resolution(&slots[SLOT_RESOLUTION], &instrument->resolution);
    take_checks(instrument, slots);
}
