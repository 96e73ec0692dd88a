#include "study/swapped.h"

#include "run/log_section.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

const struct instrument *swapped_partner(const struct instrument *of, const struct tested *other)
{
    const struct test_setup *setup = &other->reduction->setup;
    for (size_t i = 0; of->swapped && i < setup->n_instruments; i++)
        if (text_same(setup->instruments[i].id.text, of->swap_id))
            return &setup->instruments[i];
    return NULL;
}

static struct fault *fault_of(const struct tested *tested, const struct instrument *in,
                              struct faults *faults)
{
    const struct stated *at = in->swap.at.given ? &in->swap.at : NULL;
    return fault_new(faults, FAULT_INPUT,
                     fault_at(tested->reduction->setup.path, at != NULL ? at->line : in->head.line,
                              at != NULL ? at->column : in->head.column));
}

static const char *when(const struct tested *tested, const struct instrument *in, char *out,
                        size_t size)
{
    return zone_iso(log_zone(&tested->reduction->setup.log), in->swap_us, out, size);
}

static bool check_stated(const struct tested *a, const struct instrument *in,
                         const struct tested *b, const struct instrument *partner,
                         struct faults *faults)
{
    char here[40], there[40];
    if (!partner->swapped || !text_same(partner->swap_id, in->id.text)) {
        struct fault *fault = fault_of(b, partner, faults);
        fault_found(fault,
                    "%s says that '%s' changed places with '%s', [instrument %s] here says %s",
                    a->reduction->setup.path, in->id.text, partner->id.text, partner->name,
                    partner->swapped ? "another" : "nothing of it");
        fault_expected(fault, "'swap = %s, %s'", when(a, in, here, sizeof here), in->id.text);
        return false;
    }
    if (llabs((long long)(partner->swap_us - in->swap_us)) > SWAPPED_APART_US) {
        struct fault *fault = fault_of(b, partner, faults);
        fault_found(fault, "'%s' and '%s' changed places at %s here, at %s in %s", in->id.text,
                    partner->id.text, when(b, partner, there, sizeof there),
                    when(a, in, here, sizeof here), a->reduction->setup.path);
        fault_expected(fault, "one time, within %d min", (int)(SWAPPED_APART_US / 60000000));
        return false;
    }
    return true;
}

/* The columns stay with their collectors, so that each holds readings of both instruments. */
static bool check_alike(const struct instrument *in, const struct tested *b,
                        const struct instrument *partner, struct faults *faults)
{
    if (in->channel != partner->channel) {
        struct fault *fault = fault_of(b, partner, faults);
        fault_found(fault, "'%s' measures %s and '%s' %s: they cannot change places", in->id.text,
                    channel_row(in->channel)->word, partner->id.text,
                    channel_row(partner->channel)->word);
        return false;
    }
    if (in->unit == partner->unit && in->gain_value == partner->gain_value &&
        in->add_value == partner->add_value && in->signal.kind == partner->signal.kind &&
        in->m3_per_pulse.at.given == partner->m3_per_pulse.at.given &&
        (!in->m3_per_pulse.at.given || in->m3_per_pulse.value == partner->m3_per_pulse.value))
        return true;
    struct fault *fault = fault_of(b, partner, faults);
    fault_found(fault, "'%s' and '%s' changed places, but their columns are converted by different "
                       "numbers", in->id.text, partner->id.text);
    fault_expected(fault,
                   "the same unit, gain, add and volume per pulse in both descriptions: after the "
                   "swap each column holds readings of the other instrument");
    return false;
}

static const char *slot_of(const struct error_source *row)
{
    return strrchr(row->id, '.') == NULL ? row->id : strrchr(row->id, '.') + 1;
}

/* A split row of an instrument; NULL if there is none. */
static const struct error_source *find(const struct tested *tested, const char *id,
                                       const char *slot)
{
    const struct error_registry *errors = &tested->reduction->setup.errors;
    for (size_t i = 0; i < errors->n; i++)
        if (errors->rows[i].bounded && text_same(errors->rows[i].instrument_id, id) &&
            text_same(slot_of(&errors->rows[i]), slot))
            return &errors->rows[i];
    return NULL;
}

static bool check_errors(const struct tested *a, const struct instrument *in,
                         const struct tested *b, const struct instrument *partner,
                         struct faults *faults)
{
    const struct error_registry *errors = &a->reduction->setup.errors;
    for (size_t i = 0; i < errors->n; i++) {
        const struct error_source *row = &errors->rows[i];
        if (!row->bounded || !text_same(row->instrument_id, in->id.text))
            continue;
        const struct error_source *there = find(b, in->id.text, slot_of(row));
        if (there != NULL && there->targets[0].what == row->targets[0].what &&
            fabs(there->u - row->u) <= 1e-9 * row->u)
            continue;
        struct fault *fault = fault_of(b, partner, faults);
        fault_found(fault, "'%s' and '%s' changed places, but the two descriptions state different "
                           "errors for them (%s)", in->id.text, partner->id.text, slot_of(row));
        fault_expected(fault, "the same kind and the same figures in both; of two that differ the "
                              "larger");
        return false;
    }
    return true;
}

static bool check_one_way(const struct tested *a, const struct tested *b, struct faults *faults)
{
    const struct test_setup *setup = &a->reduction->setup;
    for (size_t i = 0; i < setup->n_instruments; i++) {
        const struct instrument *in = &setup->instruments[i];
        const struct instrument *partner = swapped_partner(in, b);
        if (partner != NULL &&
            (!check_stated(a, in, b, partner, faults) || !check_alike(in, b, partner, faults) ||
             !check_errors(a, in, b, partner, faults) || !check_errors(b, partner, a, in, faults)))
            return false;
    }
    return true;
}

bool swapped_check(const struct tested *a, const struct tested *b, struct faults *faults)
{
    if (a->is_stated || b->is_stated)
        return true;
    return check_one_way(a, b, faults) && check_one_way(b, a, faults);
}
