#include "domain/error_ageing.h"

#include "domain/error_slots.h"

#include <math.h>

#define DAYS_PER_YEAR 365.25

double error_of_a_year(const struct instrument *instrument)
{
    struct error_slot_known slots[SLOT_COUNT];
    error_slots(instrument, slots);
    return slots[SLOT_AGEING].given ? slots[SLOT_AGEING].u : 0.0;
}

static bool dated(const struct instrument *instrument, int64_t first_day)
{
    return instrument->calibrated.at.given && first_day != AGEING_DAY_UNKNOWN;
}

double ageing_years(const struct instrument *instrument, int64_t first_day)
{
    if (!dated(instrument, first_day))
        return AGEING_YEARS;
    return fabs((double)(first_day - instrument->calibrated.day)) / DAYS_PER_YEAR;
}

/* Since when, or why that is not known. The date's text is ISO: its first seven characters are the
 * month. */
static void since_words(const struct instrument *instrument, int64_t first_day,
                        char out[ERROR_LABEL_SIZE])
{
    const struct stated_date *date = &instrument->calibrated;
    if (!date->at.given)
        error_print(out, ERROR_LABEL_SIZE, " in %.0f years: 'calibrated' is not stated",
                    AGEING_YEARS);
    else if (first_day == AGEING_DAY_UNKNOWN)
        error_print(out, ERROR_LABEL_SIZE, " in %.0f years: the test's day is not known",
                    AGEING_YEARS);
    else
        error_print(out, ERROR_LABEL_SIZE, " %s %.7s",
                    first_day < date->day ? "until it was calibrated in" : "since", date->text);
}

void ageing_fill(const struct instrument *instrument, int64_t first_day, struct error_source *row)
{
    struct error_slot_known slots[SLOT_COUNT];
    char what[ERROR_LABEL_SIZE], since[ERROR_LABEL_SIZE];
    double years = ageing_years(instrument, first_day);
    error_slots(instrument, slots);
    error_slot_label(SLOT_AGEING, instrument, what);
    since_words(instrument, first_day, since);
    row->u = slots[SLOT_AGEING].u * years;
    error_print(row->label, sizeof row->label, "%s%s", what, since);
    error_print(row->origin, sizeof row->origin, "%.100s; %.2f years", slots[SLOT_AGEING].origin,
                years);
}

static void age(const struct instrument *instrument, int64_t first_day,
                struct error_registry *registry)
{
    char id[ERROR_ID_SIZE];
    if (!(error_of_a_year(instrument) > 0.0))
        return;
    error_print(id, sizeof id, "%s.%s", instrument->name, slot_word(SLOT_AGEING));
    for (size_t i = 0; i < registry->n; i++)
        if (text_same(registry->rows[i].id, id))
            ageing_fill(instrument, first_day, &registry->rows[i]);
}

void errors_age(const struct instrument *instruments, size_t n, int64_t first_day,
                struct error_registry *registry)
{
    for (size_t i = 0; i < n; i++)
        if (instruments[i].measures.at.given)
            age(&instruments[i], first_day, registry);
}
