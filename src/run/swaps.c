#include "run/swaps.h"

#include "domain/error_source.h"
#include "run/stated_stamp.h"

#include <stdio.h>
#include <string.h>

static struct fault *fault_of(const struct test_setup *setup, const struct instrument *in,
                              struct faults *faults)
{
    return fault_new(faults, FAULT_INPUT,
                     fault_at(setup->path, in->swap.at.line, in->swap.at.column));
}

/* WHEN, ID */
static bool take_apart(const struct test_setup *setup, struct instrument *in, struct faults *faults)
{
    char when[VALUE_SIZE];
    strcpy(when, in->swap.text);
    char *comma = strrchr(when, ',');
    const char *id = comma == NULL ? "" : text_trim(comma + 1);
    if (*id == '\0') {
        struct fault *fault = fault_of(setup, in, faults);
        fault_found(fault, "'%s' does not say which instrument took the place of '%s'",
                    in->swap.text, in->name);
        fault_expected(fault, "date and time, a comma and the other's id: "
                              "'2026-06-16T11:30:00+01:00, FM-2'");
        return false;
    }
    strcpy(in->swap_id, id);
    *comma = '\0';
    struct place at = fault_at(setup->path, in->swap.at.line, in->swap.at.column);
    return stated_stamp_read(text_trim(when), log_zone(&setup->log), at, &in->swap_us, faults);
}

static bool check_ids(const struct test_setup *setup, const struct instrument *in,
                      struct faults *faults)
{
    if (in->id.text[0] != '\0' && !text_same(in->id.text, in->swap_id))
        return true;
    struct fault *fault = fault_of(setup, in, faults);
    if (in->id.text[0] == '\0') {
        fault_found(fault, "'%s' was swapped, but has no id of its own", in->name);
        fault_expected(fault, "'id' or 'serial' in [instrument %s]: by it the other description "
                              "knows which of its instruments came from here", in->name);
    } else {
        fault_found(fault, "'%s' cannot be swapped with itself, '%s'", in->name, in->swap_id);
        fault_expected(fault, "the id of the other collector's instrument");
    }
    return false;
}

/* What is left between two matched thermometers is the pair's: they go together. */
static bool check_pair(const struct test_setup *setup, const struct instrument *in,
                       struct faults *faults)
{
    if (!in->matched_to.at.given)
        return true;
    const struct instrument *other =
        instrument_find(setup->instruments, setup->n_instruments, in->matched_to.text);
    if (other == NULL || (in->swapped == other->swapped && in->swap_us == other->swap_us))
        return true;
    struct fault *fault = fault_of(setup, in->swapped ? in : other, faults);
    fault_found(fault, "'%s' is matched to '%s', and only one of them was swapped%s", in->name,
                other->name, in->swapped && other->swapped ? " at that time" : "");
    fault_expected(fault, "both at one time, each with its own 'swap', or neither");
    return false;
}

bool swaps_settle(struct test_setup *setup, struct faults *faults)
{
    bool good = true;
    for (size_t i = 0; i < setup->n_instruments; i++) {
        struct instrument *in = &setup->instruments[i];
        if (!in->swap.at.given)
            continue;
        in->swapped = take_apart(setup, in, faults) && check_ids(setup, in, faults);
        good &= in->swapped;
    }
    for (size_t i = 0; good && i < setup->n_instruments; i++)
        good = check_pair(setup, &setup->instruments[i], faults);
    return good;
}

bool swaps_keep_apart(struct reduction *r, struct faults *faults)
{
    for (size_t i = 0; i < r->setup.n_instruments; i++) {
        const struct instrument *in = &r->setup.instruments[i];
        if (in->swapped && !finder_exclude(&r->finder, in->swap_us, in->swap_us + 1, faults))
            return false;
    }
    return true;
}

size_t swaps_before(const struct means_list *means, const struct instrument *in)
{
    size_t n = 0;
    for (size_t i = 0; i < means->n; i++)
        n += means->items[i].start_us < in->swap_us;
    return n;
}

/* Points of a table. */
static bool check_times(const struct reduction *r, const struct instrument *in,
                        struct faults *faults)
{
    for (size_t i = 0; i < r->means.n; i++) {
        const struct means *means = &r->means.items[i];
        if (means->timed && (means->start_us >= in->swap_us || means->end_us <= in->swap_us))
            continue;
        struct fault *fault = fault_of(&r->setup, in, faults);
        if (means->timed) {
            fault_found(fault, "point '%s' lies across the swap of '%s'", means->name, in->name);
            fault_expected(fault, "points that end before it or begin after it");
        } else {
            fault_found(fault, "'%s' was swapped, but point '%s' has no time", in->name,
                        means->name);
            fault_expected(fault,
                           "start and end of each point, so that it is known which of the two "
                           "instruments it was read from");
        }
        return false;
    }
    return true;
}

/* Where the readings begin and end. */
static void reach(const struct reduction *r, int64_t *first_us, int64_t *last_us)
{
    *first_us = INT64_MAX;
    *last_us = INT64_MIN;
    if (r->from_log) {
        *first_us = r->logs.account[0].first_us;
        *last_us = r->logs.account[0].last_us;
    }
    for (size_t i = 0; i < r->means.n && !r->from_log; i++) {
        if (r->means.items[i].start_us < *first_us)
            *first_us = r->means.items[i].start_us;
        if (r->means.items[i].end_us > *last_us)
            *last_us = r->means.items[i].end_us;
    }
}

static bool check_reach(const struct reduction *r, const struct instrument *in,
                        struct faults *faults)
{
    int64_t first_us, last_us;
    char first[40], last[40];
    const struct zone *zone = log_zone(&r->setup.log);
    reach(r, &first_us, &last_us);
    if (in->swap_us > first_us && in->swap_us < last_us)
        return true;
    if (first_us >= last_us)
        return true; /* nothing was read: said elsewhere */
    struct fault *fault = fault_of(&r->setup, in, faults);
    fault_found(fault, "the swap of '%s' lies %s the %s", in->name,
                in->swap_us <= first_us ? "before" : "after", r->from_log ? "log" : "points");
    fault_expected(fault, "a time between %s and %s", zone_iso(zone, first_us, first, sizeof first),
                   zone_iso(zone, last_us, last, sizeof last));
    return false;
}

static bool check_unchecked(const struct reduction *r, const struct instrument *in,
                            struct faults *faults)
{
    if (!in->checked_offset.given && !in->checked_zero.given && !in->checked_gain.given)
        return true;
    struct fault *fault = fault_of(&r->setup, in, faults);
    fault_found(fault,
                "'%s' is corrected by a check, but from the swap on another instrument stands "
                "in its place",
                in->name);
    fault_hint(fault,
               "write 'apply = no' into the check; what the two instruments differ by is solved "
               "in the comparison");
    return false;
}

/* "NAME.slot" of the instrument, but for what is of the place or new in each window. */
static bool goes_along(const struct error_source *row, const struct instrument *in)
{
    size_t n = strlen(in->name);
    return row->kind != ERROR_READING && strncmp(row->id, in->name, n) == 0 && row->id[n] == '.' &&
           row->targets[0].what != SHIFT_MOUNTING && !row->bounded;
}

static bool split(struct error_registry *errors, size_t k, const struct instrument *in,
                  struct faults *faults)
{
    struct error_source *row = &errors->rows[k];
    struct error_source after = *row;
    const char *slot = row->id + strlen(in->name) + 1;
    row->bounded = after.bounded = true;
    row->from_us = INT64_MIN;
    row->until_us = after.from_us = in->swap_us;
    after.until_us = INT64_MAX;
    error_print(after.id, sizeof after.id, "%s.swapped in.%s", in->name, slot);
    error_print(after.label, sizeof after.label, "%s, of '%s' after the swap", row->label,
                in->swap_id);
    error_print(after.instrument_id, sizeof after.instrument_id, "%s", in->swap_id);
    return registry_add(errors, &after, faults);
}

bool swaps_apply(struct reduction *r, struct faults *faults)
{
    struct error_registry *errors = &r->setup.errors;
    bool good = true;
    for (size_t i = 0; good && i < r->setup.n_instruments; i++) {
        const struct instrument *in = &r->setup.instruments[i];
        if (!in->swapped)
            continue;
        good = check_times(r, in, faults) && check_reach(r, in, faults) &&
               check_unchecked(r, in, faults);
        for (size_t k = 0, n = errors->n; good && k < n; k++)
            good = !goes_along(&errors->rows[k], in) || split(errors, k, in, faults);
    }
    return good;
}
